"""A person goes through a record: what wants an eye, edits, and the signature.

``apply`` gives the record after one edit or says why not; nothing is stored here. The page of
``plessor review`` and other programs use the same functions.
"""

from .applying import apply
from .attention import Item, attention
from .describing import Change, describe
from .edits import (
    AddFinding,
    ChangeClaim,
    ChangeFacts,
    ChangeFinding,
    ChangeWords,
    ConfirmClaim,
    ConfirmFinding,
    DecideCorrection,
    Edit,
    EditError,
    OtherSide,
    RejectClaim,
    RejectFinding,
    ResolveStretch,
    RestoreFinding,
    SettleStretch,
)
from .signing import State, canonical, digest, sign, state
from .teaching import suggest, teach

__all__ = [
    "AddFinding",
    "Change",
    "ChangeClaim",
    "ChangeFacts",
    "ChangeFinding",
    "ChangeWords",
    "ConfirmClaim",
    "ConfirmFinding",
    "DecideCorrection",
    "Edit",
    "EditError",
    "Item",
    "OtherSide",
    "RejectClaim",
    "RejectFinding",
    "ResolveStretch",
    "RestoreFinding",
    "SettleStretch",
    "State",
    "apply",
    "attention",
    "canonical",
    "describe",
    "digest",
    "sign",
    "state",
    "suggest",
    "teach",
]
