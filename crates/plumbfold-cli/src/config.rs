//! Saved defaults: options for every run, a line each (`hall-length = 20 m`), in a file at the
//! standard place. What the command line says comes before what is saved.

use std::ffi::OsString;

use clap::CommandFactory;

use crate::commands::Cli;
use crate::error::Error;

/// What can be saved: the throw, the hall, the air, the paper of a new design, looks, and
/// where the notebook is.
const KEYS: [&str; 13] = [
    "speed",
    "elevation",
    "height",
    "hall-length",
    "hall-height",
    "temperature",
    "pressure",
    "humidity",
    "sheet",
    "creep",
    "units",
    "color",
    "notebook",
];

/// The command line with the saved options that its command takes and that it does not give itself.
///
/// # Errors
/// A line that saves nothing known, told with its file and number.
pub fn with_saved(args: Vec<OsString>, saved: &str, file: &str) -> Result<Vec<OsString>, Error> {
    let cli = Cli::command();
    let named = args.iter().skip(1).filter_map(|a| a.to_str());
    let command = named.clone().find_map(|a| cli.find_subcommand(a)).cloned();
    let given = |key: &str| {
        let (alone, valued) = (format!("--{key}"), format!("--{key}="));
        named.clone().any(|a| a == alone || a.starts_with(&valued))
    };
    let takes = |key: &str| {
        let own = command.iter().flat_map(clap::Command::get_arguments);
        let mut all = own.chain(cli.get_arguments().filter(|a| a.is_global_set()));
        command.is_some() && all.any(|a| a.get_long() == Some(key))
    };
    let mut more = Vec::new();
    for (n, line) in saved.lines().enumerate() {
        let line = line.split('#').next().unwrap_or_default().trim();
        if line.is_empty() {
            continue;
        }
        let at = format!("{file}, line {}", n + 1);
        let Some((key, value)) = line.split_once('=').map(|(k, v)| (k.trim(), v.trim())) else {
            return Err(Error::input(format!("{at}: expected a line such as `speed = 3.5 m/s`")));
        };
        if !KEYS.contains(&key) {
            return Err(Error::input(format!("{at}: `{key}` cannot be saved"))
                .hint(format!("saved can be {}", KEYS.join(", "))));
        }
        if takes(key) && !given(key) {
            more.push(OsString::from(format!("--{key}={value}")));
        }
    }
    Ok(args.into_iter().chain(more).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn args(line: &str, saved: &str) -> Result<String, Error> {
        let args = line.split(' ').map(OsString::from).collect();
        let all = with_saved(args, saved, "config")?;
        Ok(all.iter().map(|a| a.to_string_lossy()).collect::<Vec<_>>().join(" "))
    }

    #[test]
    fn saved_options_go_to_the_commands_that_take_them_and_yield_to_the_command_line() {
        let saved = "# the boat hall\nhall-length = 20 m   # to the doors\n\nspeed = 3 m/s\n";
        let check = args("plumbfold check a.plane", saved).unwrap();
        assert_eq!(check, "plumbfold check a.plane --hall-length=20 m --speed=3 m/s");
        let own = args("plumbfold check a.plane --speed 4", saved).unwrap();
        assert_eq!(own, "plumbfold check a.plane --speed 4 --hall-length=20 m");
        assert_eq!(args("plumbfold fold a.plane", saved).unwrap(), "plumbfold fold a.plane");
        assert_eq!(args("plumbfold", saved).unwrap(), "plumbfold");
    }

    #[test]
    fn a_line_that_saves_nothing_is_told_with_its_place() {
        for (saved, place) in [("speed = 3\nspede = 4", "line 2"), ("speed 3", "line 1")] {
            let e = args("plumbfold check a.plane", saved).unwrap_err();
            assert!(e.message.contains(place), "{}", e.message);
        }
    }
}
