"""What a site has set for its records, as the rules take it."""

from ullage.answers.record.site_rules import RecordRules, rules_read
from ullage.web.sites.selectors import Site

__all__ = ["rules_of"]


def rules_of(site: Site) -> RecordRules:
    """The rules of a site for its records; what is not set stays as it is proposed."""
    return rules_read(site.record_rules)
