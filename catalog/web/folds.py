"""Fields that an editor folds away: what stands in them, and whether one is wrong."""

from django import forms


class FoldedFields(forms.Form):
    """A form that folds some of its fields; the fold says where something is filled in."""

    def _entered(self, *names: str) -> bool:
        """Return whether one of the fields has a value other than the one it begins with, or is wrong."""
        begins = {name: self.fields[name].initial or "" for name in names}
        return self._wrong(*names) or any((self[name].value() or "") != begins[name] for name in names)

    def _wrong(self, *names: str) -> bool:
        """Return whether one of the fields has an error, so that the fold is open."""
        return any(self[name].errors for name in names)
