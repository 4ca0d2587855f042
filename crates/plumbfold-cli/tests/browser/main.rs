//! The bench in a real browser. Scenes are played one at a time, each in a browser of its own on a
//! folder of its own.

mod machine;
mod scenes;
mod speed;

use std::io::Write;
use std::process::Command;
use std::sync::{Mutex, PoisonError};

use machine::Browser;

/// A test of each scene, in a room of its name: `cargo test --test browser files::` plays some.
macro_rules! each {
    ($($room:ident { $($scene:ident,)* })*) => {$(
        mod $room {
            $(#[test]
            fn $scene() {
                crate::play(crate::scenes::$room::$scene);
            })*
        }
    )*};
}

each! {
    looks {
        loads,
        numbers_explain_themselves,
        the_plane_turns_and_flies,
        series_and_comparison,
        the_lesson,
        a_picture_is_saved_in_dots,
        everything_can_be_read_at_every_width,
        the_first_minute,
    }
    design {
        sliders_and_text_agree,
        one_drag_is_one_thing_to_undo,
        what_was_before_stays_beside_what_is,
        a_slider_stays_under_the_finger,
        a_mistake_is_marked_and_the_last_plane_stays,
        steps_by_key,
        words_are_completed_and_clips_dropped,
        remedies_come_and_go,
    }
    fold {
        a_fold_is_dragged,
        a_fold_is_made_from_the_keyboard,
        a_dart_is_folded_without_typing,
    }
    files {
        saving_and_changes_from_outside,
        two_tabs,
        what_is_not_saved_is_kept,
        one_design_is_never_saved_into_another,
        a_new_sheet_and_an_outline,
        pages_for_the_printer,
    }
    measured {
        a_photo_becomes_a_plane,
        what_a_photo_does_not_tell_is_said_by_hand,
        a_filmed_throw_lies_over_its_prediction,
        throws_are_kept_on_a_phone,
    }
    alone {
        the_bench_in_one_file,
    }
    access {
        by_keyboard_alone,
        on_a_phone,
        no_serious_barrier,
    }
}

fn play(scene: impl AsyncFnOnce(&Browser)) {
    if wish() == Wish::No {
        return left_out("the page was not tried in a browser: PLUMBFOLD_BROWSER=no");
    }
    if Command::new("chromedriver").arg("--version").output().is_err() {
        return left_out("the page was not tried in a browser: there is no chromedriver");
    }
    with_browser(scene);
}

/// The page's modules that need no browser, tried by node alone (version 20 or newer).
#[test]
fn the_pages_pure_modules_in_node() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../plumbfold-page/tests/page");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the tests of the page")
        .map(|entry| entry.expect("a file").path())
        .filter(|path| path.to_string_lossy().ends_with(".test.mjs"))
        .collect();
    files.sort();
    let Ok(version) = Command::new("node").arg("--version").output() else {
        return left_out("the page's modules were not tried: there is no node");
    };
    let version = String::from_utf8_lossy(&version.stdout).into_owned();
    let major = version.trim_start_matches('v').split('.').next().and_then(|n| n.parse().ok());
    if major < Some(20) {
        return left_out(&format!("the page's modules were not tried: node is {version}"));
    }
    let ran = Command::new("node").arg("--test").args(files).output().expect("node runs");
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stdout));
}

/// What `PLUMBFOLD_BROWSER` asks for.
#[derive(PartialEq)]
enum Wish {
    /// `no`: leave the browser out.
    No,
    /// `must`, as in `.ci/run`: what is missing is a failure.
    Must,
    /// Try what there is.
    Try,
}

fn wish() -> Wish {
    match std::env::var("PLUMBFOLD_BROWSER").as_deref() {
        Ok("no") => Wish::No,
        Ok("must") => Wish::Must,
        _ => Wish::Try,
    }
}

/// Says so even where the output of tests that pass is not shown; not allowed when it must run.
fn left_out(what: &str) {
    assert!(wish() != Wish::Must, "{what}");
    let _ = writeln!(std::io::stderr(), "left out: {what}");
}

/// Run by `bench/page/run`, on the optimised program.
#[test]
fn speed() {
    if std::env::var_os("PLUMBFOLD_BENCH_PAGE").is_none() {
        return;
    }
    with_browser(speed::measure);
}

fn with_browser(act: impl AsyncFnOnce(&Browser)) {
    // Two browsers at once would make each other late. A scene that failed stops no other.
    static STAGE: Mutex<()> = Mutex::new(());
    let _alone = STAGE.lock().unwrap_or_else(PoisonError::into_inner);
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    runtime.expect("a runtime").block_on(async {
        let browser = Browser::start().await;
        act(&browser).await;
        browser.client.clone().close().await.expect("the browser ends");
    });
}
