//! How a stretch of time is told.

use std::time::Duration;

/// A duration as a planner would write it: `350 ms`, `1.25 s`, `3 min`, `7 h 30 min`.
pub fn told(duration: Duration) -> String {
    let millis = duration.as_millis();
    if millis < 1_000 {
        return format!("{millis} ms");
    }
    let seconds = duration.as_secs();
    if seconds < 60 {
        let text = format!("{seconds}.{:03}", duration.subsec_millis());
        return format!("{} s", text.trim_end_matches('0').trim_end_matches('.'));
    }
    let (hours, minutes, rest) = (seconds / 3_600, seconds / 60 % 60, seconds % 60);
    let parts = [(hours, "h"), (minutes, "min"), (rest, "s")];
    let shown: Vec<String> = parts
        .iter()
        .filter(|(value, _)| *value > 0)
        .map(|(value, unit)| format!("{value} {unit}"))
        .collect();
    shown.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn durations_read_like_a_planner_writes_them() {
        let told_ms = |ms| told(Duration::from_millis(ms));
        assert_eq!(told_ms(0), "0 ms");
        assert_eq!(told_ms(999), "999 ms");
        assert_eq!(told_ms(1_000), "1 s");
        assert_eq!(told_ms(1_250), "1.25 s");
        assert_eq!(told_ms(180_000), "3 min");
        assert_eq!(told_ms(27_000_000), "7 h 30 min");
        assert_eq!(told_ms(3_600_000), "1 h");
    }

    #[test]
    fn from_a_minute_on_minutes_are_told() {
        assert_eq!(told(Duration::from_millis(59_999)), "59.999 s");
        assert_eq!(told(Duration::from_mins(1)), "1 min");
        assert_eq!(told(Duration::from_secs(61)), "1 min 1 s");
    }
}
