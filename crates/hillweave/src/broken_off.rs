//! A run that is told to end takes with it what it has on the disk on its way to its target.

/// From now on Ctrl-C and a request to end clear up first. `serves`: the command hears Ctrl-C itself.
///
/// The program ends as if it did not listen, so that whoever called it sees a run that a signal ended. A signal
/// that it was begun with leave to ignore stays ignored.
#[cfg(unix)]
pub(crate) fn clear_up_then_end(serves: bool) {
    use signal_hook::consts::{SIGINT, SIGTERM};
    use signal_hook::iterator::Signals;
    use signal_hook::low_level::emulate_default_handler;

    let ignored = ignored();
    let heard = |signal: &i32| !(serves && *signal == SIGINT) && ignored >> (signal - 1) & 1 == 0;
    let heard: Vec<i32> = [SIGINT, SIGTERM].into_iter().filter(heard).collect();
    // Without this a run that is ended leaves its hidden folder to the next, as one that is killed does.
    let Ok(mut signals) = Signals::new(heard) else { return };
    std::thread::spawn(move || {
        if let Some(signal) = signals.forever().next() {
            spatial::write::break_off();
            let _ = emulate_default_handler(signal);
        }
    });
}

#[cfg(not(unix))]
pub(crate) fn clear_up_then_end(_: bool) {}

/// The signals that are ignored, a bit each from the first; where the system does not tell, none.
#[cfg(unix)]
fn ignored() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0)
}
