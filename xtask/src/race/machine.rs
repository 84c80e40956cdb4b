//! What the race was run on.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::process;

/// Cores, memory and system, as far as they can be told.
pub(crate) fn description() -> String {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let model = line_after("/proc/cpuinfo", "model name").unwrap_or_default();
    let memory = line_after("/proc/meminfo", "MemTotal").and_then(|text| gibibytes(&text));
    let memory = memory.map_or(String::new(), |gib| format!(", {gib:.0} GiB of memory"));
    let system = line_after("/etc/os-release", "PRETTY_NAME").unwrap_or_default();
    let (model, system) = (model.trim(), system.trim().trim_matches('"'));
    format!("{cores} cores ({model}){memory}, {system}")
}

/// Names and versions of those who race.
pub(crate) fn versions(program: &Path) -> String {
    let said = [
        first_line(Command::new(program).arg("--version")),
        first_line(Command::new("gdalinfo").arg("--version")),
        first_line(Command::new("saga_cmd").arg("--version")),
        first_line(Command::new("rustc").arg("--version")),
    ];
    said.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

fn first_line(command: &mut Command) -> Option<String> {
    let told = process::capture(command).ok()?;
    told.lines().find(|line| !line.trim().is_empty()).map(|line| line.trim().to_owned())
}

/// The text after a key and its `:` or `=`.
fn line_after(file: &str, key: &str) -> Option<String> {
    let text = fs::read_to_string(file).ok()?;
    let line = text.lines().find(|line| line.starts_with(key))?;
    line.split_once([':', '=']).map(|(_, value)| value.to_owned())
}

fn gibibytes(kibibytes: &str) -> Option<f64> {
    let number: f64 = kibibytes.trim().trim_end_matches("kB").trim().parse().ok()?;
    Some(number / 1024.0 / 1024.0)
}

#[cfg(test)]
mod tests {
    use super::gibibytes;

    #[test]
    fn memory_is_read() {
        assert!((gibibytes("       16777216 kB").unwrap() - 16.0).abs() < 1e-9);
        assert_eq!(gibibytes("much"), None);
    }
}
