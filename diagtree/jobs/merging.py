"""Two benches on one job: which of the entries that come second still count."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from diagtree.jobs.record import ANSWERS, Entry, Job


def merged(
    job: Job, meanwhile: Iterable[Entry], drafts: Sequence[Entry]
) -> tuple[tuple[Entry, ...], tuple[Entry, ...]]:
    """What to write, and what of it was forestalled and is written aside.

    A reply to a check, or about a feature, that another bench answered meanwhile is forestalled; so is taking back what
    was taken back. Everything else stands beside what the other bench did.

    Args:
        job: as it is kept, what came meanwhile in it.
        meanwhile: what others added since the writer last saw the job.
        drafts: what the writer adds, in order.
    """
    gone = set(job.taken_back)
    others = {_about(entry) for entry in meanwhile if _decides(entry) and entry.mark not in gone}
    written: list[Entry] = []
    aside: list[Entry] = []
    for draft in drafts:
        late = _decides(draft) and _about(draft) in others
        lost = draft.kind == "taken-back" and draft.subject in gone
        if lost or any(one.mark == draft.subject for one in aside):  # what counts for nothing needs no taking back
            continue
        if late:
            draft = replace(draft, kind="aside")  # noqa: PLW2901 -- the same entry, without effect
            aside.append(draft)
        elif draft.kind == "taken-back":
            gone.add(draft.subject)
        written.append(draft)
    return tuple(written), tuple(aside)


def _decides(entry: Entry) -> bool:
    return entry.is_reply and (entry.kind in ANSWERS or entry.kind in {"seen", "turned"})


def _about(entry: Entry) -> tuple[str, str]:
    """What a reply decides: a check, a feature, the tree that goes on."""
    if entry.kind in ANSWERS:
        return "check", entry.subject
    return entry.kind, entry.subject if entry.kind == "seen" else ""
