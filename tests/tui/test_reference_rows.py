"""Reference values on the summary screen: beside the number, with population and source."""

import shutil
from pathlib import Path

from screen_text import an_app, keys, screen_text, ticking_clock

from examwalk.session.model import Side
from examwalk.tui.open_visit import OpenVisit
from examwalk.tui.widgets.lines import Pointer
from examwalk.tui.widgets.row_list import RowList

EXAMPLE = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"


async def test_a_measured_number_stands_beside_its_percentile_and_its_reasons_name_the_population(
    tmp_path,
):
    app = an_app(tmp_path)
    async with app.run_test(size=(100, 40)) as pilot:
        app.visit = OpenVisit.open(Path(shutil.copy(EXAMPLE, tmp_path)), ticking_clock())
        app.show_summary()
        await pilot.pause()
        rows = app.screen.query_one("#rows", RowList)
        rows.point_at(Pointer(("reference", "lunge-distance"), Side.RIGHT))
        await pilot.pause()
        text = " ".join(screen_text(app).split())
        assert "Measured, against reference values" in text
        assert "7 cm, percentile 14" in text  # (7.0 - 10.3) / 3.0 = -1.10
        await keys(pilot, "t")
        text = " ".join(screen_text(app).split())
        assert "50 adults: mean 10.3 cm, SD 3: right z −1.10, percentile 14." in text
        assert "35 healthy adults: mean 12 cm, SD 2.8: right z −1.79, percentile 4." in text
        assert "2017, J Sci Med Sport" in text


async def test_a_derived_value_tells_its_limits_among_its_reasons(tmp_path):
    app = an_app(tmp_path)
    async with app.run_test(size=(100, 40)) as pilot:
        app.visit = OpenVisit.open(Path(shutil.copy(EXAMPLE, tmp_path)), ticking_clock())
        app.show_summary()
        await pilot.pause()
        rows = app.screen.query_one("#rows", RowList)
        rows.point_at(Pointer(("derived", "fpi-side-difference"), Side.LEFT))
        await keys(pilot, "t")
        text = " ".join(screen_text(app).split())
        assert "930 healthy adults: normal 2 or less (one standard deviation): within." in text
