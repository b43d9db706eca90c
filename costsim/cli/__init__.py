"""The command line: arguments in, plain pages out."""
