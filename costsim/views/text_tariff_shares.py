"""What `costsim portfolio --tariffs` prints: which tariff suits how many homes."""

from __future__ import annotations

from costsim.portfolio.tariffs import TariffShares
from costsim.views.tables import money, text_table
from costsim.views.text_portfolio import swallowed_line, wrapped
from costsim.words import tr, trn


def printed_shares(shares: TariffShares) -> str:
    """Print who wins."""
    rows = [
        [
            option,
            tariff,
            money(float(shares.mean[i, j]), shares.currency),
            money(float(shares.mean[i, j] * shares.weight), shares.currency),
            tr("same under all") if _alike(shares, j) else f"{shares.by_option[i, j] * 100:.0f}%",
            f"{shares.by_pair[i, j] * 100:.0f}%",
        ]
        for j, option in enumerate(shares.options)
        for i, tariff in enumerate(shares.tariffs)
    ]
    headings = [
        tr("option"),
        tr("tariff"),
        tr("whole bill, mean"),
        tr("of all homes"),
        tr("cheapest for this option"),
        tr("cheapest of all"),
    ]
    sentence = tr(
        "{homes} under {tariffs} tariffs, share of homes by weight\n{headings}\nWhole bill: what"
        " heating adds, and the home's other electricity where it is known. Cheapest of all: among"
        " the options that keep\nthe home warm; a tie is split, a home that none keeps warm counts"
        " for none.",
        homes=trn("{count} home", "{count} homes", shares.homes),
        tariffs=len(shares.tariffs),
        headings=text_table(headings, rows),
    )
    where = ", ".join(f"tariff-{number}: {name}" for number, name in enumerate(shares.tariffs, 1))
    lines = [sentence]
    if shares.set_aside:
        aside = trn("{count} row was set aside", "{count} rows were set aside", shares.set_aside)
        lines.append(tr("{rows}: set_aside.csv in each folder says why.", rows=aside))
    lines += wrapped([swallowed_line({"rows_in_cells": shares.rows_in_cells})])
    lines += wrapped([tr("How the columns were read, and which homes lack heat: the same command without --tariffs.")])
    return "\n".join(
        [
            *lines,
            tr(
                "As typed is the study's own. Each folder's totals.csv has the town's totals and peak:\n{where}.",
                where=where,
            ),
        ]
    )


def _alike(shares: TariffShares, option: int) -> bool:
    """Whether no tariff changes an option's bills, so that none is cheapest."""
    each = shares.mean[:, option]
    return len(each) > 1 and bool((each == each[0]).all())
