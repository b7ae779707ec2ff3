//! Put into a copy of the program by `try.py`: asks at run time which change is on. Never a part of the program itself.
//!
//! `MUTANT=7` switches change 7 on. `MUTANT_REACHED=file` switches none on and adds the number of each that is come by. With
//! `MUTANT_STOP` the first panic of a test ends its process, so that nothing is made smaller or tried again.

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed};
use std::sync::{Mutex, Once};

const UNASKED: usize = usize::MAX;
const RECORDING: usize = usize::MAX - 1;
const NONE: usize = usize::MAX - 2;

static CHOSEN: AtomicUsize = AtomicUsize::new(UNASKED);
static SEEN: [AtomicBool; 16384] = [const { AtomicBool::new(false) }; 16384];
static REACHED: Mutex<Option<File>> = Mutex::new(None);
static BEGIN: Once = Once::new();

/// Whether this change is off, as it is in the program.
#[inline(always)]
pub(crate) fn off(number: usize) -> bool {
    let chosen = CHOSEN.load(Relaxed);
    if chosen >= RECORDING {
        return asked(number);
    }
    chosen != number
}

#[cold]
#[inline(never)]
fn asked(number: usize) -> bool {
    BEGIN.call_once(begin);
    if CHOSEN.load(Relaxed) == RECORDING && !SEEN[number].swap(true, Relaxed) {
        if let Some(file) = REACHED.lock().unwrap().as_mut() {
            file.write_all(format!("{number}\n").as_bytes()).unwrap();
        }
    }
    CHOSEN.load(Relaxed) != number
}

fn begin() {
    let is_test = std::env::current_exe().is_ok_and(|exe| exe.parent().is_some_and(|folder| folder.ends_with("deps")));
    if is_test && std::env::var_os("MUTANT_STOP").is_some() {
        std::panic::set_hook(Box::new(|_| std::process::exit(77)));
    }
    let mut chosen = NONE;
    if let Ok(number) = std::env::var("MUTANT") {
        chosen = number.parse().unwrap();
    }
    if let Some(path) = std::env::var_os("MUTANT_REACHED") {
        *REACHED.lock().unwrap() = OpenOptions::new().create(true).append(true).open(path).ok();
        chosen = RECORDING;
    }
    CHOSEN.store(chosen, Relaxed);
}
