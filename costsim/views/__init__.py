"""Typed rows, sentences and figures that terminal, web and paper render alike."""
