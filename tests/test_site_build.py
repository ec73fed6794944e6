"""What is in the site, and what is not; how it is fetched, made and served."""

import ast
import hashlib
import http.client
import io
import json
import re
import subprocess
import sys
import threading
import zipfile
from pathlib import Path

import pytest

from aerialstream.department import DEMO_FOLDER
from gradekit.questions import papers
from gradekit.site import parts, wheel
from gradekit.site.build import LARGEST, MARK, SiteError, build
from gradekit.site.serve import Handler, addresses, server
from lessonkit.start import LESSONS, syllabus

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def own_department(tmp_path_factory):
    """A department's folder with a name, and things that are nobody else's business."""
    import shutil

    folder = tmp_path_factory.mktemp("department") / "ours"
    shutil.copytree(DEMO_FOLDER, folder)
    about = folder / "department.toml"
    text = about.read_text(encoding="utf-8")
    assert "Larkmoor" in text
    about.write_text(text.replace("Larkmoor Fire Department", "Otterbeck Fire Brigade"), "utf-8")
    (folder / "roster.csv").write_text("member,name\n9999,Nobody Invented\n", encoding="utf-8")
    (folder / "register.db").write_bytes(b"register of Nobody Invented")
    (folder / "notes.txt").write_text("Nobody Invented", encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def work(tmp_path_factory):
    """A working folder where released exercises are kept; the browser's tests use it too."""
    return tmp_path_factory.getbasetemp() / "work for the site"


@pytest.fixture(scope="module")
def site(own_department, work, tmp_path_factory):
    """The site of that department."""
    folder = tmp_path_factory.mktemp("site") / "site"
    build(folder, own_department, work=work, say=lambda words: None)
    return folder


@pytest.fixture(scope="module")
def everything(site):
    """{where: bytes} of every file, those inside wheels too."""
    found = {}
    for path in sorted(site.rglob("*")):
        if not path.is_file():
            continue
        name = path.relative_to(site).as_posix()
        found[name] = path.read_bytes()
        if path.suffix in (".whl", ".zip"):
            with zipfile.ZipFile(path) as archive:
                found.update({f"{name}!{n}": archive.read(n) for n in archive.namelist()})
    return found


def kit_files(everything):
    """{path in the kit's wheel: bytes}."""
    return {n.partition("!")[2]: data for n, data in everything.items() if re.search(r"/aerialstream-[^!]*!", n)}  # fmt: skip


# --- what is not in it ----------------------------------------------------------------------------


def test_no_solution_stands_in_any_exercise(site):
    """The exercises are the released ones: no solution marks, no worked answers, no source."""
    found = sorted((site / "files/assignments").rglob("*.ipynb"))
    assert {path.stem for path in found} == {
        one["assignment"] for one in syllabus()["lesson"] if one.get("assignment")
    }
    for path in found:
        text = path.read_text(encoding="utf-8")
        source = (ROOT / "source_assignments" / path.stem / path.name).read_text(encoding="utf-8")
        assert "BEGIN SOLUTION" in source and "worked_answer" in source  # this test can fail
        for word in ("BEGIN SOLUTION", "END SOLUTION", "worked_answer", "HIDDEN TESTS"):
            assert word not in text, (path.name, word)


@pytest.mark.parametrize(
    "words",
    ["BEGIN SOLUTION", "def worked_answer(question_id", "Nobody Invented", "source_assignments/"],
)
def test_words_of_the_instructors_side_stand_nowhere(everything, words):
    """Neither as a file nor within a wheel."""
    holding = [name for name, data in everything.items() if words.encode() in data]
    assert holding == []


def test_no_marking_guide_is_in_it(everything):
    """What earns points in a written answer stays with the marker."""
    guides = [
        what
        for paper in papers().values()
        for question in paper.questions
        if not question.judged
        for _, what in question.guide
    ]
    assert guides
    kit = b"".join(kit_files(everything).values()).decode("utf-8", "replace")
    for what in guides:
        assert what[:40] not in kit


def test_papers_without_guides_are_the_same_papers(everything):
    """Taking the guides out leaves every other character of a paper alone, and it can be read."""
    for name, data in kit_files(everything).items():
        if name.startswith("gradekit/papers/") and name.endswith(".py"):
            ast.parse(data)
            whole = (ROOT / "graders" / name).read_bytes()
            assert data == whole or (b"guide=()," in data and len(data) < len(whole))
    made_up = 'Q = WrittenQuestion(\n    id="ä",\n    guide=(\n        (1, "x"),\n    ),\n    points=1,\n)\n'
    assert wheel.without_guides(made_up.encode()).decode() == made_up.replace(
        '(\n        (1, "x"),\n    )', "()"
    )


def test_nothing_that_grades_or_keeps_records_is_in_it(everything):
    """Modules of the class, the register, the roster and the worked answers are not along."""
    names = set(kit_files(everything))
    assert "gradekit/notebook.py" in names and "gradekit/papers/nozzle_reaction.py" in names
    for module in wheel.NEVER:
        assert f"gradekit/{module}.py" not in names
    assert not [n for n in names if n.endswith((".csv", ".db", ".typ", ".ipynb"))]
    assert not [n for n in names if "teach_" in n]


def test_a_check_that_imports_the_register_would_be_refused(monkeypatch):
    """Should a module of the check ever need what may not be along, there is no site."""
    monkeypatch.setattr(wheel, "_imported", lambda source: ["register"])
    with pytest.raises(ValueError, match="register may not be in a browser"):
        wheel.of_gradekit()


def test_department_is_in_it_without_its_roster(everything):
    """Only the TOML files of the department are along."""
    kit = kit_files(everything)
    ours = [n for n in kit if n.startswith(f"{wheel.DEPARTMENT}/")]
    assert f"{wheel.DEPARTMENT}/apparatus.toml" in ours
    assert all(name.endswith(".toml") for name in ours)
    assert b"Otterbeck" in kit[f"{wheel.DEPARTMENT}/department.toml"]
    assert b"Otterbeck" in everything["index.html"]


# --- what is in it --------------------------------------------------------------------------------


def test_lessons_are_the_desktops_own_files(site):
    """The same cells with the same code; only links to the trade words are added, as there."""
    for lesson in syllabus()["lesson"]:
        ours = json.loads((LESSONS / lesson["notebook"]).read_text(encoding="utf-8"))["cells"]
        there = json.loads((site / "files" / lesson["notebook"]).read_text(encoding="utf-8"))[
            "cells"
        ]
        assert [c["id"] for c in ours] == [c["id"] for c in there]
        for mine, theirs in zip(ours, there, strict=True):
            if mine["cell_type"] == "code":
                assert "".join(mine["source"]) == "".join(theirs["source"])


def test_site_is_small_enough_and_asks_no_other_host(site, everything):
    """Under 60 MB; no page or script of ours names an address outside."""
    assert sum(path.stat().st_size for path in site.rglob("*") if path.is_file()) < LARGEST
    ours = ["index.html", "start.js", "work.js", "zip.js", "lesson.js", "old.js", "worker.js", "glossary.html", "start.css", "notebooks/index.html"]  # fmt: skip
    for name in ours:
        text = everything[name].decode().replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?://", text), name
    assert not [name for name in everything if name.endswith(".map")]


def test_every_file_is_on_the_list_that_is_kept_without_network(site):
    """What the worker keeps is exactly what there is, itself left out."""
    text = (site / "worker.js").read_text(encoding="utf-8")
    listed = json.loads(re.search(r"^const FILES = (\[.*\]);$", text, re.MULTILINE)[1])
    there = {p.relative_to(site).as_posix() for p in site.rglob("*") if p.is_file()}
    assert set(listed) == there - {"worker.js"}


def test_interpreters_list_has_the_digest_of_every_wheel(site):
    """A wheel that is not the listed one would not be loaded."""
    folder = site / "static/pyodide"
    listed = json.loads((folder / "pyodide-lock.json").read_text(encoding="utf-8"))["packages"]
    assert {"aerialstream", "pint", "pydantic", "pydantic-core", "ipywidgets"} <= set(listed)
    assert not {"numpy", "scipy", "matplotlib"} & set(listed)
    for one in listed.values():
        data = (folder / one["file_name"]).read_bytes()
        assert hashlib.sha256(data).hexdigest() == one["sha256"]


def test_made_twice_it_is_the_same_to_the_byte(site, own_department, work, tmp_path):
    """Two builds of the same kit differ in nothing but the times of the files."""
    build(tmp_path / "again", own_department, work=work, say=lambda words: None)
    first = {p.relative_to(site): p.read_bytes() for p in site.rglob("*") if p.is_file()}
    again = tmp_path / "again"
    second = {p.relative_to(again): p.read_bytes() for p in again.rglob("*") if p.is_file()}
    assert sorted(first) == sorted(second)
    assert [str(name) for name in first if first[name] != second[name]] == []


def test_without_node_the_wheels_stay_as_they_are(tmp_path, monkeypatch):
    """Compiling is a help, not a need: nothing is changed and it is said that it was not done."""
    from gradekit.site import compiled

    (tmp_path / "pyodide.asm.wasm").write_bytes(b"")
    wheel.write_stand_in(tmp_path, "nothing", {"nothing/__init__.py": "x = 1\n"})
    before = {path: path.read_bytes() for path in tmp_path.glob("*.whl")}
    monkeypatch.setattr(compiled.shutil, "which", lambda name: None)
    assert compiled.compile_wheels(tmp_path, tmp_path / "kept") is False
    monkeypatch.setattr(compiled.shutil, "which", lambda name: sys.executable)
    assert compiled.compile_wheels(tmp_path, tmp_path / "kept") is False
    assert {path: path.read_bytes() for path in tmp_path.glob("*.whl")} == before


def test_folder_with_other_things_is_not_replaced(tmp_path):
    """A folder that is no site of ours is refused before anything is done; so is a file."""
    (tmp_path / "photo.jpg").write_bytes(b"x")
    with pytest.raises(SiteError, match="holds other things"):
        build(tmp_path)
    with pytest.raises(SiteError, match="is a file"):
        build(tmp_path / "photo.jpg")
    assert (tmp_path / "photo.jpg").read_bytes() == b"x"


def test_faulty_department_is_told_and_no_site_is_made(own_department, tmp_path):
    """The department's faults come as from every other command; an older site stays."""
    import shutil

    bad = tmp_path / "bad"
    shutil.copytree(own_department, bad)
    (bad / "nozzles.toml").write_text("[[nozzle]]\nid = 3\n", encoding="utf-8")
    command = [sys.executable, "-m", "gradekit.cli", "site", "build", str(tmp_path / "site"), "--department", str(bad)]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 2 and "nozzles.toml" in done.stdout and "Traceback" not in done.stderr
    assert not (tmp_path / "site").exists()


# --- parts ----------------------------------------------------------------------------------------


def test_every_part_is_pinned_by_version_and_digest():
    """Name, version and file agree; each has a SHA-256."""
    interpreter, wheels = parts.listed()
    assert len({w.name for w in wheels}) == len(wheels)
    for part in (interpreter, *wheels):
        assert re.fullmatch(r"[0-9a-f]{64}", part.sha256)
        assert part.version in part.file


def test_data_are_read_by_the_same_versions_as_on_the_desktop():
    """What reads units and data has the same version as in the lock of the lessons."""
    lock = (ROOT / "shared/lock/lessons.txt").read_text(encoding="utf-8")
    _, wheels = parts.listed()
    versions = {w.name: w.version for w in wheels}
    for name in ("pydantic", "pydantic-core", "pint", "ipywidgets"):
        assert f"\n{name}=={versions[name]} " in lock, name


def test_wrong_part_is_named_and_not_used(tmp_path, monkeypatch):
    """A file that is not the listed one stops the build with its name."""
    _, wheels = parts.listed()
    monkeypatch.setattr(parts, "_fetch_wheels", lambda missing, folder: [(folder / w.file).write_bytes(b"bad") for w in missing])  # fmt: skip
    monkeypatch.setattr(parts, "_fetch_interpreter", lambda part, folder: None)
    with pytest.raises(parts.PartsError, match=re.escape(wheels[0].file)):
        parts.gather(tmp_path, say=lambda words: None)


def test_without_internet_it_says_what_to_do(tmp_path, monkeypatch):
    """A failed fetch is one sentence that names the way round."""
    monkeypatch.setattr(parts, "pip_command", lambda: [sys.executable, "-c", "raise SystemExit('no way out')"])  # fmt: skip
    with pytest.raises(parts.PartsError, match=r"no way out.*--parts DIR"):
        parts.gather(tmp_path, say=lambda words: None)


# --- serving --------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def ask(site):
    """Asks the site's server for a path; gives (status, headers, body)."""
    running = server(site, "127.0.0.1", 0)
    threading.Thread(target=running.serve_forever, daemon=True).start()

    def asked(path, method="GET", **headers):
        line = http.client.HTTPConnection("127.0.0.1", running.server_port, timeout=20)
        line.request(method, path, headers=headers)
        answer = line.getresponse()
        body = answer.read()
        line.close()
        return answer.status, {k.lower(): v for k, v in answer.getheaders()}, body

    yield asked
    running.shutdown()
    running.server_close()


@pytest.mark.parametrize(
    "path, kind",
    [
        ("/static/pyodide/pyodide.asm.wasm", "application/wasm"),
        ("/static/pyodide/pyodide.mjs", "text/javascript"),
        ("/worker.js", "text/javascript"),
        ("/", "text/html; charset=utf-8"),
        ("/manifest.webmanifest", "application/manifest+json"),
        ("/site.json", "application/json"),
    ],
)
def test_server_says_what_each_file_is(ask, path, kind):
    """A browser refuses a module or a program that comes under another name."""
    status, headers, _ = ask(path)
    assert (status, headers["content-type"]) == (200, kind)


def test_server_lets_only_what_never_changes_be_kept(ask, site):
    """Start page, worker and list are asked for anew each time; hashed files are kept."""
    for path in ("/", "/worker.js", "/site.json", "/notebooks/index.html"):
        assert ask(path)[1]["cache-control"] == "no-cache"
    kit = next((site / "static/pyodide").glob("aerialstream-*.whl")).name
    assert "max-age" in ask(f"/static/pyodide/{kit}")[1]["cache-control"]


def test_server_packs_what_is_worth_it_and_tells_when_nothing_changed(ask, site):
    """The packed file unpacks to the same; a second visit costs a few bytes."""
    import gzip

    path = "/static/pyodide/pyodide.asm.wasm"
    _, headers, body = ask(path, **{"Accept-Encoding": "gzip"})
    assert headers["content-encoding"] == "gzip"
    assert gzip.decompress(body) == (site / path.lstrip("/")).read_bytes()
    status, _, again = ask(path, **{"If-Modified-Since": headers["last-modified"], "Accept-Encoding": "gzip"})  # fmt: skip
    assert (status, again) == (304, b"")
    status, _, body = ask(path, "HEAD", **{"Accept-Encoding": "gzip"})
    assert (status, body) == (200, b"")


@pytest.mark.parametrize(
    "path", ["/files/", "/../pyproject.toml", "/..%2f..%2fetc/passwd", "/none"]
)
def test_server_gives_nothing_but_the_sites_files(ask, path):
    """No listing of a folder, nothing from outside it."""
    assert ask(path)[0] == 404


def test_served_over_https_where_there_is_a_certificate(site, tmp_path):
    """With a certificate of the department's the same files come over https."""
    import ssl

    made = _certificate(tmp_path)
    running = server(site, "127.0.0.1", 0, *made)
    threading.Thread(target=running.serve_forever, daemon=True).start()
    try:
        context = ssl.create_default_context(cafile=str(made[0]))
        line = http.client.HTTPSConnection(
            "localhost", running.server_port, context=context, timeout=20
        )
        line.sock = context.wrap_socket(
            __import__("socket").create_connection(("127.0.0.1", running.server_port)),
            server_hostname="localhost",
        )
        line.request("GET", "/site.json")
        assert json.loads(line.getresponse().read())["title"] == syllabus()["title"]
    finally:
        running.shutdown()
        running.server_close()
    assert addresses("127.0.0.1", 8443, "https") == ["https://127.0.0.1:8443/"]


def _certificate(folder):
    """(certificate, key) for localhost, made here."""
    from datetime import UTC, datetime, timedelta

    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "localhost")])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=2))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    files = folder / "certificate.pem", folder / "key.pem"
    files[0].write_bytes(made.public_bytes(serialization.Encoding.PEM))
    files[1].write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.TraditionalOpenSSL,
            serialization.NoEncryption(),
        )
    )
    return files


def test_serving_something_else_than_a_site_is_refused(tmp_path):
    """The command names what to do instead."""
    command = [sys.executable, "-m", "gradekit.cli", "site", "serve", str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 2 and "site build" in done.stdout


# --- without what a browser does not have -------------------------------------------------------


@pytest.mark.parametrize("system", ["US", "metric"])
def test_side_load_curve_is_drawn_without_matplotlib_too(system, monkeypatch):
    """The same words; both lines go through the results: reaction times sine and cosine."""
    from math import cos, radians, sin

    from aerialstream import reaction_at_tip
    from aerialstream.figures import side_load_curve

    turns = [reaction_at_tip("505 lbf", rotation=f"{d} deg", extension="75 ft") for d in range(0, 91, 15)]  # fmt: skip
    usual = side_load_curve(turns, system)
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)
    drawn = side_load_curve(turns, system)
    assert drawn.alt == usual.alt and drawn.figure.label == drawn.alt
    lines = re.findall(r'<polyline points="([^"]*)"', drawn.figure.svg())
    along, side = ([float(p.split(",")[1]) for p in line.split()] for line in lines)
    nought, all_of_it = side[0], side[-1]
    for n, (a, s) in enumerate(zip(along, side, strict=True)):
        turn = radians(15 * n)
        assert abs((nought - s) - (nought - all_of_it) * sin(turn)) < 0.2
        assert abs((nought - a) - (nought - all_of_it) * cos(turn)) < 0.2


# --- the side of the kernel -----------------------------------------------------------------------


def test_files_are_laid_in_and_only_what_changed_comes_out(tmp_path, monkeypatch):
    """What was laid in is not told again; a changed and a new file are, once."""
    from gradekit.site import in_browser

    monkeypatch.setenv("AERIALSTREAM_STUDY", str(tmp_path / "study"))
    monkeypatch.setattr(in_browser, "_seen", {})
    in_browser.lay_in({"my progress/lesson-03.json": "{}", "my progress/lesson-04.json": "{}"})
    assert in_browser.changed() == {}
    (tmp_path / "study/my progress/lesson-03.json").write_text('{"checks": {}}', encoding="utf-8")
    (tmp_path / "study/my-manual-sheet.html").write_text("<p>ö</p>", encoding="utf-8")
    (tmp_path / "study/.part.json").write_text("half", encoding="utf-8")
    expected = {"my progress/lesson-03.json": '{"checks": {}}', "my-manual-sheet.html": "<p>ö</p>"}
    assert in_browser.changed() == expected
    assert in_browser.changed() == {}


def test_handler_stays_quiet():
    """A classroom's requests do not fill the instructor's screen."""
    said = io.StringIO()
    Handler.log_message(None, "%s", said)
    assert said.getvalue() == ""


def test_mark_names_what_the_start_page_needs(site):
    """Lessons, minutes, checks and exercises of the syllabus, and the site's own version."""
    about = json.loads((site / MARK).read_text(encoding="utf-8"))
    assert [one["number"] for one in about["lessons"]] == [one["number"] for one in syllabus()["lesson"]]  # fmt: skip
    assert re.fullmatch(r"[0-9a-f]{16}", about["version"])
    for ours, theirs in zip(syllabus()["lesson"], about["lessons"], strict=True):
        assert (theirs["minutes"], theirs["title"]) == (ours["minutes"], ours["title"])
        # The first lesson is short; every other one has four checks or more.
        assert len(theirs["checks"]) >= (1 if ours.get("short") else 4)
