"""The view of a job: everything its sheet says, worked out from a session, before any template."""

from reports.view.build import job_view
from reports.view.model import JobView, view_data

__all__ = ["JobView", "job_view", "view_data"]
