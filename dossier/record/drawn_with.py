"""What a document is drawn with: everything that may change its bytes though the build is the same.

Where all of it agrees, the same build gives the same bytes; where any of it differs, only what is seen can agree.
"""

from __future__ import annotations

import hashlib
import platform
import zlib
from collections.abc import Mapping
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import Final

from dossier import __version__
from dossier.pdf.fonts import lato_file, symbols_file

_PACKAGES: Final = ("numpy", "reportlab", "matplotlib", "fonttools", "pikepdf", "pillow", "fontpkg-lato")
_NATIVE: Final = (".so", ".pyd", ".dylib", ".dll", ".so.")


@lru_cache(maxsize=1)
def drawn_with() -> Mapping[str, str]:
    """Name -> version of all that draws here, in a fixed order.

    A package with parts in machine code carries a mark of their digests, since it brings libraries of its own (that
    of pikepdf, for one, the zlib and libjpeg of qpdf).
    """
    import pikepdf
    from matplotlib import ft2font
    from PIL import features

    made = {"dossier": f"{__version__} ({_code()})", "Python": platform.python_version()}
    made |= {name: _package(name) for name in _PACKAGES}
    made["qpdf"] = pikepdf.__libqpdf_version__
    made["FreeType of matplotlib"] = ft2font.__freetype_version__
    made["zlib"] = zlib.ZLIB_RUNTIME_VERSION
    made["zlib of Pillow"] = str(features.version("zlib_ng") or features.version("zlib"))
    made["libjpeg of Pillow"] = str(features.version("libjpeg_turbo") or features.version("jpg"))
    faces = [lato_file(cut) for cut in ("Regular", "Bold", "Italic")] + [symbols_file()]
    made["typeface"] = _mark(b"".join(path.read_bytes() for path in faces))
    made["C library"] = " ".join(platform.libc_ver()).strip() or platform.system()
    made["processor"] = _processor()
    return made


def _mark(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:10]


def _code() -> str:
    """A mark of our own code: what draws changes between two versions too."""
    root = Path(__file__).parents[1]
    try:
        found = distribution("install-dossier")
        listed = (found.read_text("RECORD") or "").splitlines()
        if any(line.startswith("dossier/") for line in listed) and Path(str(found.locate_file("dossier"))) == root:
            ours = sorted(line for line in listed if line.startswith("dossier/") and "sha256=" in line)
            return _mark("\n".join(ours).encode())
    except PackageNotFoundError:
        pass  # run from a checkout
    files = sorted(path for kind in ("*.py", "*.json") for path in root.rglob(kind))
    return _mark(b"".join(path.relative_to(root).as_posix().encode() + path.read_bytes() for path in files))


def _package(name: str) -> str:
    try:
        found = distribution(name)
    except PackageNotFoundError:
        return "not known"
    files = (line.rsplit(",", 1)[0] for line in (found.read_text("RECORD") or "").splitlines())
    native = sorted(line for line in files if any(end in line for end in _NATIVE))
    return found.version + (f" ({_mark(chr(10).join(native).encode())})" if native else "")


def _processor() -> str:
    """Family, vector instructions and kernels in use: sums are rounded otherwise from one to the next."""
    import numpy as np

    said = np.show_config(mode="dicts")
    vectors = said.get("SIMD Extensions", {}) if said else {}
    return " ".join([platform.machine(), *map(str, vectors.get("found", ())), _kernels()]).strip()


def _kernels() -> str:
    """Which kernels the linear-algebra library of numpy's wheels chose; empty with another one."""
    import ctypes

    import numpy as np

    for path in sorted((Path(np.__file__).parents[1] / "numpy.libs").glob("libscipy_openblas*")):
        name = getattr(ctypes.CDLL(str(path)), "scipy_openblas_get_corename64_", None)
        if name is not None:
            name.restype = ctypes.c_char_p
            return str(name().decode())
    return ""
