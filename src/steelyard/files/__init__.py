"""Every reader and writer of user files, and the schema of the rig file."""

from steelyard.files.faults import RigFileError
from steelyard.files.reader import parse_rig, read_rig
from steelyard.files.writer import FileThereError, write_new

__all__ = ["FileThereError", "RigFileError", "parse_rig", "read_rig", "write_new"]
