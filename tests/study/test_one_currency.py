"""Prices that a study reads from a file beside it are in the study's money."""

from __future__ import annotations

from typing import Any

import pytest
from cases import ELECTRIC, study

from costsim.errors import InputError
from costsim.study.case import case_from
from costsim.study_files import StudyFiles


def with_prices(header: str, **more: Any) -> Any:
    """A study whose electricity follows a file of 50 a MWh in every hour."""
    raw = f"hour,{header}\n" + "".join(f"{hour},50\n" for hour in range(8760))
    charge = {"kind": "hourly_price", "file": "spot.csv"}
    data = study(ELECTRIC).typed | {"prices": {"electricity": {"charge": [charge], **more}}}
    return case_from(data, files=StudyFiles(opened={"spot.csv": raw.encode()}))


def test_a_file_of_prices_in_another_currency_is_refused_with_its_key() -> None:
    with pytest.raises(InputError) as refused:
        with_prices("price [€/MWh]", fixed="9 $/month")
    [fault] = refused.value.faults
    assert fault.field == "prices.electricity.charge[1].file"
    assert fault.problem == "holds prices in €, but the study is in $"
    assert with_prices("price [$/MWh]", fixed="9 $/month").currency == "$"
    assert with_prices("price [€/MWh]", fixed="9 €/month").currency == "€"


def test_where_no_other_money_is_stated_a_study_is_in_that_of_its_prices() -> None:
    assert (with_prices("price [€/MWh]").currency, with_prices("price [$/MWh]").currency) == ("€", "$")
    other = {"kind": "hourly_price", "file": "other.csv"}
    content = "".join(f"{hour},50\n" for hour in range(8760)).encode()
    files = {"spot.csv": "hour,price [€/MWh]\n".encode() + content, "other.csv": b"hour,price [$/MWh]\n" + content}
    spot = {**other, "file": "spot.csv"}
    with pytest.raises(InputError, match=r"charge\[2\]\.file: holds prices in \$, but the study is in €"):
        case_from(
            study(ELECTRIC).typed | {"prices": {"electricity": {"charge": [spot, other]}}},
            files=StudyFiles(opened=files),
        )
