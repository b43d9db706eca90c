"""What `costsim portfolio --tariffs` prints: which tariff suits how many homes."""

from __future__ import annotations

from costsim.portfolio.tariffs import TariffShares
from costsim.views.tables import money, text_table
from costsim.words import tr


def printed_shares(shares: TariffShares) -> str:
    """Print who wins."""
    rows = [
        [
            option,
            tariff,
            money(float(shares.mean[i, j]), shares.currency),
            f"{shares.by_option[i, j] * 100:.0f}%",
            f"{shares.by_pair[i, j] * 100:.0f}%",
        ]
        for j, option in enumerate(shares.options)
        for i, tariff in enumerate(shares.tariffs)
    ]
    headings = [
        tr("option"),
        tr("tariff"),
        tr("whole bill, mean"),
        tr("cheapest for this option"),
        tr("cheapest of all"),
    ]
    return tr(
        "{homes} homes under {tariffs} tariffs, share of homes by weight\n{headings}\nWhole bill: what"
        " heating adds, and the home's other electricity where it is known. Cheapest of all: among"
        " the options that keep\nthe home warm; a tie is split, a home that none keeps warm counts"
        " for none.",
        homes=f"{shares.homes:,}",
        tariffs=len(shares.tariffs),
        headings=text_table(headings, rows),
    )
