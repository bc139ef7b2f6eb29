"""The front door: what it offers, what it costs, and that its reference is true."""

import inspect
import pydoc
import re
import statistics
import subprocess
import sys
import time

import pytest

import wheelgeo
from wheelgeo.wheel import Wheel

from .conftest import DESIGNS

FUNCTIONS = [
    *((name, getattr(wheelgeo, name)) for name in ("load", "read", "size")),
    *((f"Wheel.{n}", f) for n, f in vars(Wheel).items() if inspect.isfunction(f) and n[0] != "_"),
]


def test_every_public_name_is_there():
    assert set(wheelgeo.__all__) == set(dir(wheelgeo))
    for name in wheelgeo.__all__:
        assert getattr(wheelgeo, name) is not None
    assert re.fullmatch(r"\d+\.\d+\.\d+", wheelgeo.__version__)
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        wheelgeo.nothing  # noqa: B018 - that it raises is what is asked


def test_help_is_one_page_that_names_all_that_a_wheel_can_do():
    page = pydoc.plain(pydoc.render_doc(wheelgeo))
    for name, _ in FUNCTIONS:
        assert re.search(rf"\b{name.removeprefix('Wheel.')}\(", page) or name in HELPERS, name
    assert len(wheelgeo.__doc__.splitlines()) <= 70
    assert all(len(line) <= 100 for line in wheelgeo.__doc__.splitlines())


HELPERS = ("Wheel.with_design", "Wheel.to_toml")
"""What scripts seldom need; their own docstrings tell of them."""


@pytest.mark.parametrize(("name", "function"), FUNCTIONS, ids=[n for n, _ in FUNCTIONS])
def test_a_docstring_tells_of_every_argument_and_of_no_other(name, function):
    text = inspect.getdoc(function)
    told = re.search(r"^Args:\n(.*?)(?=\n\S|\Z)", text, re.DOTALL | re.MULTILINE)
    names = re.findall(r"^    (\w+): ", told[1], re.MULTILINE) if told else []
    wanted = [p for p in inspect.signature(function).parameters if p != "self"]
    if name == "Wheel.put":
        wanted.remove("value") if "value" not in names else None
    if name == "Wheel.with_design":
        return  # its one argument is told of in its first line
    assert names == wanted


def test_the_door_is_light():
    code = (
        "import sys; before = set(sys.modules); import wheelgeo\n"
        "print(sorted(m for m in set(sys.modules) - before if not m.startswith('_')))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = {name.split(".")[0] for name in re.findall(r"'([^']+)'", done.stdout)}
    assert loaded <= {"wheelgeo", "importlib", "typing", "collections", "functools", "re",
                      "warnings", "contextlib", "operator", "keyword", "heapq", "reprlib",
                      "itertools", "types", "enum", "copyreg"}  # fmt: skip


@pytest.mark.benchmark
def test_importing_takes_at_most_1_3_times_a_bare_start_of_python():
    def seconds(code):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        return time.perf_counter() - start

    turns = [(seconds("import wheelgeo"), seconds("pass")) for _ in range(25)]
    ratio, bare = (statistics.median(t[i] for t in turns) for i in (0, 1))
    sys.stdout.write(f"import wheelgeo / bare start = {ratio / bare:.2f}\n")
    assert ratio / bare <= 1.3


def test_reading_and_solving_any_wheel_loads_none_of_the_large_libraries():
    code = (
        "import sys, wheelgeo\n"
        "for path in sys.argv[1:]:\n"
        "    wheelgeo.load(path).solve().to_json()\n"
        "large = {'numpy', 'scipy', 'shapely', 'trimesh', 'ezdxf', 'matplotlib', 'argparse'}\n"
        "print(sorted(large & set(sys.modules)))"
    )
    command = [sys.executable, "-c", code, *map(str, sorted(DESIGNS.glob("*.toml")))]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
