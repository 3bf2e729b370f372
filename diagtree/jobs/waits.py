"""When a check that has to wait is ready: the clock's time, since the job knows when it began."""

from datetime import datetime, timedelta

from diagtree.jobs.record import Job, moment
from diagtree.walk.session import Session


def ready_at(session: Session, job: Job) -> datetime | None:
    """When the answer to the check asked now may be had, in UTC; None where it need not wait.

    The wait begins with the last reply that led to the check: a soak begins when the walk comes to it.
    """
    check = session.check
    if check is None or check.wait <= 0.0:
        return None
    since = max((entry.at for entry in job.replies), default=job.begun)
    begun = moment(since)
    return begun + timedelta(hours=min(check.wait, _LONGEST)) if begun else None


_LONGEST = 24.0 * 366  # hours: further no clock need tell


def told(session: Session, job: Job, at: datetime) -> str:
    """The sentence that says so, in local time; nothing where the check need not wait."""
    ready, check = ready_at(session, job), session.check
    if ready is None or check is None:
        return ""
    here = at.astimezone()  # its zone is of that moment: `ready` may lie beyond a night when the clocks change
    if ready <= at:
        return f"Ready since {_clock(ready.astimezone(), here)} ({check.wait:g} h of waiting)."
    return f"Ready no earlier than {_clock(ready.astimezone(), here)} ({check.wait:g} h of waiting)."


def _clock(moment: datetime, now: datetime) -> str:
    clock = f"{moment:%H:%M}"
    days = (moment.date() - now.date()).days
    words = {0: f"{clock} today", 1: f"{clock} tomorrow", -1: f"{clock} yesterday"}
    return words.get(days, f"{clock} on {moment.date().isoformat()}")
