"""The guard of templates notices an attribute that is gone, also in a condition or a loop."""

from dataclasses import dataclass

import pytest
from django.template import Context, Template

from catalog.records.reasons import Reason


@dataclass
class Elsewhere:
    """An object of somebody else."""


@pytest.mark.parametrize(
    "source",
    ["{{ one.gone }}", "{% if one.gone %}x{% endif %}", "{% for x in one.gone %}{% endfor %}", "{{ one.gone|length }}"],
)
def test_a_missing_attribute_of_ours_is_an_error(source: str) -> None:
    with pytest.raises(AttributeError, match="a template asks Reason for 'gone'"):
        Template(source).render(Context({"one": Reason("code")}))


def test_what_is_there_and_what_is_not_ours_is_looked_up_as_before() -> None:
    source = Template("{{ one.code }}{{ other.gone }}{{ nothing }}")
    assert source.render(Context({"one": Reason("code"), "other": Elsewhere()})) == "code"
