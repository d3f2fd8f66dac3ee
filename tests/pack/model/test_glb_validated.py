"""The GLB judged by the Khronos Group's own validator of glTF 2.0 (npm package gltf-validator).

Its folder is named by the environment variable GLTF_VALIDATOR; node runs it.
"""

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from demo_sprites.make import FOLDER
from pixel2make import api
from pixel2make.pack.model.build import model_of
from pixel2make.pack.model.glb import glb_bytes
from pixel2make.pack.preview.drawn import mirrored
from tests.needs import needs
from tests.pack.catalogue import SIZES, book

NODE, VALIDATOR = shutil.which("node"), os.environ.get("GLTF_VALIDATOR", "")

SCRIPT = """
const validator = require(process.argv[1]);
const bytes = new Uint8Array(require("fs").readFileSync(process.argv[2]));
validator.validateBytes(bytes, { maxIssues: 50 }).then((report) => console.log(JSON.stringify(report)));
"""


def report_on(glb: bytes, folder: Path) -> dict:
    needs(NODE and (Path(VALIDATOR) / "package.json").is_file(), "node, and gltf-validator at GLTF_VALIDATOR")
    path = folder / "model.glb"
    path.write_bytes(glb)
    done = subprocess.run(
        [NODE, "-e", SCRIPT, VALIDATOR, str(path)], capture_output=True, text=True, check=True, timeout=120
    )
    return json.loads(done.stdout)


def demo_model(name: str, height: str, **choices: str):
    source = api.open_source(FOLDER / f"{name}.png")
    return model_of(api.measure(source, size=("height", height), choices=choices))


MODELS = {
    **{name: lambda name=name: model_of(book(**SIZES[name])) for name in ("usual", "palm", "bare")},
    "demo, clasps": lambda: demo_model("harbour_registry", "300mm"),
    "demo, small": lambda: demo_model("kelp_pocketbook", "60mm", structure="laced"),
    "demo, turned over": lambda: mirrored(demo_model("saltglass_ledger", "1000mm")),
}


@pytest.mark.parametrize("name", MODELS)
def test_the_validator_has_nothing_to_say(name, tmp_path):
    """No error, no warning and no hint (glTF 2.0, ISO/IEC 12113:2022)."""
    model = MODELS[name]()
    found = report_on(glb_bytes(model, name), tmp_path)
    assert found["issues"]["messages"] == []
    assert found["info"]["version"] == "2.0"
    assert found["info"]["totalTriangleCount"] == sum(len(solid.faces) for solid in model.solids)


def test_the_validator_finds_what_is_wrong(tmp_path):
    """Its silence would be worth nothing otherwise: a vertex at infinity."""
    model = model_of(book(**SIZES["bare"]))
    glb = bytearray(glb_bytes(model, "broken"))
    start = 20 + int.from_bytes(glb[12:16], "little") + 8
    glb[start : start + 4] = b"\x00\x00\x80\x7f"  # infinity
    assert report_on(bytes(glb), tmp_path)["issues"]["numErrors"] > 0
