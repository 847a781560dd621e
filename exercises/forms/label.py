"""What truly happened, as an instructor says it."""

from django import forms


class LabelForm(forms.Form):
    """One cause of one reading; `client_id` is made with the page, so that a form that is sent
    twice says it once.
    """

    cause = forms.CharField(max_length=100)
    client_id = forms.UUIDField()
