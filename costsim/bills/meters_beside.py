"""Several meters in one table: one of them is kept, or those that follow one another are joined."""

from __future__ import annotations

from costsim.bills.columns import Table
from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats


def one_meter(table: Table, meter: str, file: str) -> None:
    """Keep the rows of the meter that was asked for.

    Raises
    ------
    InputError
        Rows of several meters lie side by side, or there is none of that name.
    """
    cells = table.column("meter")
    names = list(dict.fromkeys(cells))
    if meter:
        low = meter.lower()
        meant = [name for name in names if name.lower() == low] or [name for name in names if low in name.lower()]
        if not meant and meter.isdecimal() and 1 <= int(meter) <= len(names):
            meant = [names[int(meter) - 1]]
        if len(meant) != 1 or names == [""]:
            what = f"'{meter}' is {'none' if len(meant) != 1 and not meant else 'more than one'} of its meters"
            listed = ", ".join(f"'{name}'" for name in names[:12] if name) or "the table names none"
            raise InputError(Fault("--meter", f"{what}: {listed}", "give one of these names", file))
        table.keep([i for i, cell in enumerate(cells) if cell == meant[0]])
        return
    if len(names) < 2:
        return
    key = "start" if "start" in table.places else "date"
    stamps = list(
        zip(table.column(key), table.column("start_time"), table.column("time"), table.column("hour"), strict=True)
    )
    changes = [i for i in range(1, len(cells)) if cells[i] != cells[i - 1]]
    handed_over = len(changes) == len(names) - 1 and sum(stamps[i] == stamps[i - 1] for i in changes) == len(
        stamps
    ) - len(set(stamps))
    if handed_over:
        table.notes.append(f"{len(names)} meters follow one another and were joined")
        return
    if len(set(stamps)) == len(stamps):
        table.notes.append(f"{len(names)} meters follow one another and were joined")
        return
    heading = table.headings[table.places["meter"]]
    listed = ", ".join(f"'{name}' ({cells.count(name):,} rows)" for name in names[:8])
    what = f"{len(names)} meters run at the same time: {listed}"
    raise InputError(
        Fault(
            heading or "meter",
            what,
            f"choose the one that heats the house with --meter '{names[0]}'",
            file,
            "meter",
            tuple(names[:50]),
        )
    )


def on_one_register(table: Table, amounts: Floats) -> Floats:
    """States of meters of which one is taken out as the next is put in, as those of one register; the first state of a new one goes."""
    meters, key = table.column("meter"), "start" if "start" in table.places else "date"
    days = table.column(key)
    new = [i for i in range(1, len(meters)) if table.register and meters[i] != meters[i - 1] and days[i] == days[i - 1]]
    for i in new:
        amounts[i:] += amounts[i - 1] - amounts[i]
    if new:
        table.notes.append(
            f"at line {', '.join(str(table.lines[i]) for i in new)} another meter goes on where the one before it ends"
        )
        kept = [i for i in range(len(meters)) if i not in new]
        table.keep(kept)
        amounts = amounts[kept]
    return amounts
