"""What the build sheet refuses, as sentences for the person at the screen.

SheetError
├── SheetClosed   the job is past the stages in which its sheet changes
├── CannotRemove  something else depends on the line
└── CannotCopy    the two jobs do not fit together
"""


class SheetError(Exception):
    """The reason, naming the line or field."""


class SheetClosed(SheetError):
    pass


class CannotRemove(SheetError):
    pass


class CannotCopy(SheetError):
    pass
