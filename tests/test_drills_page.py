"""The tablet's page in a real browser, without network."""

import pytest

from aerialstream import load_department
from gradekit.drills.card import card_page
from gradekit.drills.measured import read_measurements
from gradekit.drills.plan import Asked, plan_drill


@pytest.mark.browser
def test_the_page_saves_what_was_typed_as_the_csv_that_is_read(browser, tmp_path):
    plan = plan_drill(
        load_department(), Asked(evolution="window-in-line", device="tower-3", site="drill-ground")
    )
    (tmp_path / "card.html").write_text(card_page(plan), encoding="utf-8")
    context = browser.new_context(viewport={"width": 820, "height": 1180}, offline=True)
    page, wrong, asked = context.new_page(), [], []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto((tmp_path / "card.html").as_uri())
    page.fill('tr[data-name="flow"] input[data-run="1"]', "505 gpm")
    page.fill('tr[data-name="extension"] input[data-run="2"]', "41 ft 6 in")
    page.fill('input[data-remark="2"]', 'said "slow", then shut')
    with page.expect_download() as download:
        page.click("#save")
    download.value.save_as(tmp_path / "saved.csv")
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    page.screenshot(path=tmp_path / "page.png")
    context.close()
    runs = read_measurements(tmp_path / "saved.csv").runs
    assert runs[0].values["flow"] == pytest.approx(505)
    assert runs[1].values["extension"] == pytest.approx(41.5)
    assert runs[1].remark == 'said "slow", then shut'
    assert not wrong and wide <= 0
    assert [url for url in asked if not url.startswith(("file:", "blob:"))] == []
