"""What a build used on its own: defaults and notices, gathered while a scenario becomes a model."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from energymodel.notices import Notice, UsedDefault


@dataclass(slots=True, kw_only=True)
class Ledger:
    """Collects each default and notice once, in the order in which they come up.

    Parameters
    ----------
    defaults, notices
        What has been gathered so far.
    """

    defaults: list[UsedDefault] = field(default_factory=list)
    notices: list[Notice] = field(default_factory=list)

    def default(self, name: str, value: str, source: str) -> None:
        """Note a default that was used.

        Parameters
        ----------
        name, value, source
            As in :class:`energymodel.notices.UsedDefault`.
        """
        entry = UsedDefault(name=name, value=value, source=source)
        if entry not in self.defaults:
            self.defaults.append(entry)

    def notice(self, topic: str, text: str) -> None:
        """Note something the reader should know.

        Parameters
        ----------
        topic, text
            As in :class:`energymodel.notices.Notice`.
        """
        self.add_notices([Notice(topic=topic, text=text)])

    def add_notices(self, notices: Iterable[Notice]) -> None:
        """Note several things.

        Parameters
        ----------
        notices
            Ready-made notices.
        """
        self.notices.extend(entry for entry in notices if entry not in self.notices)
