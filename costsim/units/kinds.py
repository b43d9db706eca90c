"""Kinds by name: each class enters itself when it is made, and no name stands for two."""

from __future__ import annotations

from collections.abc import Iterable


def enter(known: dict[str, type], names: Iterable[str], cls: type) -> None:
    """Enter a class under its names.

    Parameters
    ----------
    known : dict of str to type
        Changed in place.
    names : iterable of str
    cls : type

    Raises
    ------
    TypeError
        A name is that of another class; the same one made anew may replace itself.

    Examples
    --------
    >>> known: dict[str, type] = {}
    >>> enter(known, ["corn"], int)
    >>> enter(known, ["corn"], str)
    Traceback (most recent call last):
    TypeError: kind 'corn' is that of int: give str another
    """
    for name in names:
        there = known.setdefault(name, cls)
        if (there.__module__, there.__qualname__) != (cls.__module__, cls.__qualname__):
            raise TypeError(f"kind '{name}' is that of {there.__name__}: give {cls.__name__} another")
        known[name] = cls
