"""Why a backup or a restore was refused."""


class BackupError(Exception):
    """A backup or restore was refused; the text is the sentence for the command line. Nothing was changed."""
