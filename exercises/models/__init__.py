"""Rows. They hold the promises that a database can hold, and no judgement."""

from .account_session import AccountSession
from .afterwards import Label, Reply
from .course import Course, Task
from .course_class import Compass, CourseClass, Group, Person, Phone
from .failures import Failures
from .ground import Hazard, ObservedBearing
from .handed_on import HandedId
from .key import Key
from .kit import Issue, Kit, KitCompass, KitEntry
from .organisation import Member, Organisation
from .reading import PaperEntry, Reading
from .results import Experience, Results
from .rotation import Rotation, RotationMark
from .running import CheckItem, FieldNote, Headcount, HeadcountMark, SeenTo
from .second_step import AuthenticatorApp, Passkey, RecoveryCode
from .sent_form import SentForm
from .site import Point, Site, Survey, Visible
from .staff import Invitation, Staff, TrailEntry

__all__ = [
    "AccountSession",
    "AuthenticatorApp",
    "CheckItem",
    "Compass",
    "Course",
    "CourseClass",
    "Experience",
    "Failures",
    "FieldNote",
    "Group",
    "HandedId",
    "Hazard",
    "Headcount",
    "HeadcountMark",
    "Invitation",
    "Issue",
    "Key",
    "Kit",
    "KitCompass",
    "KitEntry",
    "Label",
    "Member",
    "ObservedBearing",
    "Organisation",
    "PaperEntry",
    "Passkey",
    "Person",
    "Phone",
    "Point",
    "Reading",
    "RecoveryCode",
    "Reply",
    "Results",
    "Rotation",
    "RotationMark",
    "SeenTo",
    "SentForm",
    "Site",
    "Staff",
    "Survey",
    "Task",
    "TrailEntry",
    "Visible",
]
