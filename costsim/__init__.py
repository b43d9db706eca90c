"""What it costs to heat a building with warm water, on which fuel or mix, and when the sources fall short."""

__version__ = "0.1.0"
