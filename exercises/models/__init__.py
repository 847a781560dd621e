"""Rows. They hold the promises that a database can hold, and no judgement."""
from .course import Course, Task
from .course_class import Compass, CourseClass, Person
from .key import Key
from .reading import Reading
from .site import Point, Site, Visible

__all__ = ["Compass", "Course", "CourseClass", "Key", "Person", "Point", "Reading", "Site", "Task", "Visible"]
