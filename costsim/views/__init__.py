"""Rows, sentences and drawings that any renderer can show."""
