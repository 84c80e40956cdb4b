//! The columns of the table of jobs.

use super::rows::{Calendar, TaskRow};
use crate::write::columns::Column;
use crate::write::{Kind, Value};

type TaskColumn = Column<TaskRow, Calendar>;

const WORDS: (Kind, &str, &str) = (Kind::Text, "", "");
const MONTH: (Kind, &str, &str) = (Kind::Text, "YYYY-MM", "");
const MONTHS: (Kind, &str, &str) = (Kind::Integer, "months", "");

/// Every job.
#[rustfmt::skip] // a table
pub(crate) static TASKS: [TaskColumn; 15] = [
    TaskColumn::new("task_id", WORDS, "Name of the job, the same each time.", |t, _| (&t.id).into()),
    TaskColumn::new("task", WORDS, "What is done.", |t, _| (&t.task).into()),
    TaskColumn::new("who", WORDS, "Who does it.", |t, _| Value::Text(t.who.join(", "))),
    TaskColumn::new("winter", (Kind::Integer, "year", ""), "Winter that it is of, by the year of its first month; null where it is done once.", |t, _| t.winter.and_then(|year| u64::try_from(year).ok()).map_or(Value::Null, Value::Integer)),
    TaskColumn::new("earliest", MONTH, "First month in which it can begin.", |t, _| (&t.earliest).into()),
    TaskColumn::new("latest", MONTH, "Last month in which it may begin so that all is in time.", |t, _| (&t.latest).into()),
    TaskColumn::new("ends", MONTH, "Month in which it ends when it begins at the earliest.", |t, _| (&t.ends).into()),
    TaskColumn::new("months", MONTHS, "Months that it takes up.", |t, _| u64::from(t.months).into()),
    TaskColumn::new("slack_months", (Kind::Real, "months", ""), "Months by which it may be late; below 0: it cannot be in time.", |t, _| f64::from(t.slack_months).into()),
    TaskColumn::new("critical", WORDS, "Whether it has no slack: yes or no.", |t, _| if t.critical { "yes" } else { "no" }.into()),
    TaskColumn::new("season", WORDS, "Months of the year in which it can begin; empty: any.", |t, _| (&t.season).into()),
    TaskColumn::new("after", WORDS, "Jobs that it waits for.", |t, _| Value::Text(t.after.join(" "))),
    TaskColumn::new("hands_on", WORDS, "What it hands on.", |t, _| t.hands_on.into()),
    TaskColumn::new("caution", WORDS, "What to be careful of; empty: nothing beyond the usual.", |t, _| t.caution.into()),
    TaskColumn::new("source", WORDS, "Where its months come from.", |t, _| t.source.into()),
];
