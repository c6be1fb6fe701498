"""Every reader and writer of user files, and the schema of the rig file."""

from steelyard.files.faults import FileFaultError
from steelyard.files.reader import parse_rig, read_rig
from steelyard.files.writer import FileThereError, write_new

__all__ = [
    "FileFaultError",
    "FileThereError",
    "parse_rig",
    "parse_ticket",
    "read_rig",
    "read_ticket",
    "write_new",
]
