"""Digital signatures of the paper page: the key file, signing, and looking into what was signed.

The library that does it is optional: importing this folder without it says what to install.
"""

from resile.errors import MissingDependencyError

try:
    import pyhanko  # noqa: F401
except ImportError as error:
    raise MissingDependencyError(
        "Signing and verifying need the library pyHanko, which is not installed: "
        'pip install "resile[signature]".'
    ) from error
