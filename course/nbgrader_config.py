# Settings of nbgrader for one class: the commands of hvacr-lab, formgrader and nbgrader itself all read this file.
# It takes the course's short name from course.toml beside it; everything else stands here.
import tomllib
from pathlib import Path

here = Path(__file__).resolve().parent
course = tomllib.loads((here / "course.toml").read_text(encoding="utf-8-sig"))

c = get_config()  # noqa: F821 - nbgrader gives it to this file

# Folders: source/, release/, submitted/, autograded/ and feedback/ lie beside this file.
c.CourseDirectory.root = str(here)
c.CourseDirectory.course_id = course["course_id"]

# Marks: one SQLite file. It serves one class on one machine; keep it off network drives.
c.CourseDirectory.db_url = f"sqlite:///{here / 'gradebook.db'}"

# The exchange: a folder through which lessons go out and hand-ins come in. For students with accounts on this
# machine, give a folder that all of them can reach, e.g. "/srv/exchange" (owner root, mode 1777).
c.Exchange.root = str(here / "exchange")

# Collecting copies plain files only and follows no links, from formgrader's button as well as from `hvacr-lab grade`.
c.ExchangeFactory.collect = "hvacr_lab.classroom.collect_plugin.PlainFilesCollect"

# What stands in the student edition in place of a solution.
c.ClearSolutions.code_stub = {"python": "# Write your answer in place of the three dots."}
c.ClearSolutions.text_stub = "Write your answer here."

# Widgets are drawn anew from their code; their saved state would only make the files larger.
c.Execute.store_widget_state = False

# Only used by nbgrader's own `autograde`; `hvacr-lab grade` takes its limit from course.toml.
c.Execute.timeout = 30
