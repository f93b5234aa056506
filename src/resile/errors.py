"""Every way in which resile can refuse, as one tree.

    ResileError
    ├── InputError                 what the user gave cannot be used            exit 2   HTTP 422
    │   ├── FileFormatError        the bytes are not a record we can read       exit 2   HTTP 422
    │   │   └── AmbiguousFileError one question must be answered first          exit 2   HTTP 422
    │   ├── MeasurementError       the numbers cannot be a test of this kind    exit 2   HTTP 422
    │   └── SpecificationError     a limit, precision or settings file is wrong exit 2   HTTP 422
    ├── RecordNotFoundError        no such file, sample or specification        exit 3   HTTP 404
    ├── ConflictError              somebody or something was there first        exit 2   HTTP 409
    ├── PermissionRefusedError     this person may not do or see that           exit 2   HTTP 403
    ├── SignInNeededError          nobody has signed in, or not as they say     exit 2   HTTP 401
    │   └── TooManyAttemptsError   too many wrong passwords; wait               exit 2   HTTP 429
    ├── StorageError               the record cannot be opened or written       exit 70  HTTP 503
    │   └── RecordDamagedError     what the record holds is not what was kept   exit 70  HTTP 500
    └── MissingDependencyError     an optional library is not installed         exit 70  HTTP 500

A message says where, what was found and what is needed, in the user's words and units.
"""

from __future__ import annotations

from dataclasses import dataclass


class ResileError(Exception):
    """Root of all refusals; its text is one clear sentence for a person."""


class InputError(ResileError):
    """What the user gave cannot be used."""


class FileFormatError(InputError):
    """The bytes of a file are not a record that can be read."""


class AmbiguousFileError(FileFormatError):
    """A file can be read in more than one way.

    Parameters
    ----------
    message : str
        Where and what was found, ending with the question that decides it.
    option : str
        The command-line option, or layout key, that answers the question.
    """

    def __init__(self, message: str, *, option: str) -> None:
        super().__init__(message)
        self.option = option

    def __reduce__(self) -> tuple[object, ...]:
        """Keep the option when the error crosses from one process to another."""
        return _ambiguous, (str(self), self.option)


def _ambiguous(message: str, option: str) -> AmbiguousFileError:
    return AmbiguousFileError(message, option=option)


class MeasurementError(InputError):
    """The numbers were read but cannot be a test of the kind asked for."""


class SpecificationError(InputError):
    """A specification, precision statement, layout or settings file is wrong."""


class RecordNotFoundError(ResileError):
    """No such file, sample or specification."""


class ConflictError(ResileError):
    """Somebody changed it in between, or what may stand only once stands already."""


class PermissionRefusedError(ResileError):
    """The person who asks may not do, or see, this."""


class SignInNeededError(ResileError):
    """Nobody has signed in, or name and password do not belong together."""


class TooManyAttemptsError(SignInNeededError):
    """Too many failed attempts to sign in.

    Parameters
    ----------
    message : str
        What happened and how long to wait.
    wait_s : int
        Seconds until another attempt counts.
    """

    def __init__(self, message: str, *, wait_s: int = 0) -> None:
        super().__init__(message)
        self.wait_s = wait_s


class StorageError(ResileError):
    """The record cannot be opened, read or written."""


class RecordDamagedError(StorageError):
    """What the record holds is not what was kept."""


class MissingDependencyError(ResileError):
    """An optional library is needed for this task and is not installed."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What the outside world is told about a class of error.

    Attributes
    ----------
    exit_code : int
        Exit code of the command line.
    http_status : int
        Status of the browser workbench.
    """

    exit_code: int
    http_status: int


EXIT_DONE = 0
EXIT_DOES_NOT_COMPLY = 1
EXIT_OUR_FAULT = 70

ANSWERS: dict[type[ResileError], Answer] = {
    ResileError: Answer(EXIT_OUR_FAULT, 500),
    InputError: Answer(2, 422),
    FileFormatError: Answer(2, 422),
    AmbiguousFileError: Answer(2, 422),
    MeasurementError: Answer(2, 422),
    SpecificationError: Answer(2, 422),
    RecordNotFoundError: Answer(3, 404),
    ConflictError: Answer(2, 409),
    PermissionRefusedError: Answer(2, 403),
    SignInNeededError: Answer(2, 401),
    TooManyAttemptsError: Answer(2, 429),
    StorageError: Answer(EXIT_OUR_FAULT, 503),
    RecordDamagedError: Answer(EXIT_OUR_FAULT, 500),
    MissingDependencyError: Answer(EXIT_OUR_FAULT, 500),
}


def answer_for(error: ResileError) -> Answer:
    """Give the exit code and HTTP status for an error.

    Parameters
    ----------
    error : ResileError
        The error that was raised.

    Returns
    -------
    Answer
        The row of `ANSWERS` for the error's own class.
    """
    return ANSWERS[type(error)]
