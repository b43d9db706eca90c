"""What a house makes of its own electricity, in rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costsim.results.result import Result
from costsim.units.quantity import KWH_J
from costsim.views.tables import money
from costsim.words import tr

if TYPE_CHECKING:
    pass


def own_generation_rows(result: Result) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of where own generation goes under each option; no rows where there is none."""
    self_uses = [(option.name, use) for option in result.options if (use := option.self_use) is not None]
    headings = [
        tr("own generation, kWh a year"),
        tr("generated"),
        tr("used by the house"),
        tr("used by heating"),
        tr("exported"),
    ]
    rows = [
        [
            name,
            *(
                f"{joule / KWH_J:,.0f}"
                for joule in (self_use.generated_j, self_use.house_j, self_use.heating_j, self_use.exported_j)
            ),
        ]
        for name, self_use in self_uses
    ]
    if any(abs(self_use.counted_j - self_use.heating_j) > KWH_J for _, self_use in self_uses):  # net metering
        headings.append(tr("counts for heating"))
        rows = [
            [*row, f"{self_use.counted_j / KWH_J:,.0f}"] for row, (_, self_use) in zip(rows, self_uses, strict=True)
        ]
    headings.append(tr("off heating's bill"))
    return headings, [
        [*row, money(self_use.saved, result.currency)] for row, (_, self_use) in zip(rows, self_uses, strict=True)
    ]
