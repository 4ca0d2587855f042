//! Runs the real program in a directory of its own with an empty environment.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

/// No command on any bad input may take longer, in a debug build on a busy machine.
const TIME_MAX: Duration = Duration::from_secs(20);

/// A temporary directory, removed at the end.
pub struct Env {
    dir: PathBuf,
}

/// What a run left behind.
pub struct Ran {
    pub code: i32,
    pub stdout: String,
    pub stderr: String,
}

impl Env {
    pub fn new() -> Self {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let n = COUNT.fetch_add(1, Ordering::Relaxed);
        let dir =
            Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{}-{n}", std::process::id()));
        std::fs::create_dir_all(&dir).expect("a directory for the test");
        Self { dir }
    }

    /// With one file in it.
    pub fn with(name: &str, contents: impl AsRef<[u8]>) -> Self {
        let env = Self::new();
        env.write(name, contents);
        env
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.join(name)
    }

    pub fn write(&self, name: &str, contents: impl AsRef<[u8]>) {
        std::fs::write(self.path(name), contents).expect("a file for the test");
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    /// Names of all files, sorted; subdirectories as `dir/name`.
    pub fn files(&self) -> Vec<String> {
        fn walk(dir: &Path, prefix: &str, into: &mut Vec<String>) {
            for entry in std::fs::read_dir(dir).expect("a readable directory").flatten() {
                let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
                if entry.path().is_dir() {
                    walk(&entry.path(), &format!("{name}/"), into);
                } else {
                    into.push(name);
                }
            }
        }
        let mut names = Vec::new();
        walk(&self.dir, "", &mut names);
        names.sort();
        names
    }

    pub fn command(&self, args: &[&str]) -> snapbox::cmd::Command {
        snapbox::cmd::Command::new(env!("CARGO_BIN_EXE_plumbfold"))
            .args(args)
            .env_clear()
            .current_dir(&self.dir)
            .timeout(TIME_MAX)
    }

    pub fn run(&self, args: &[&str]) -> Ran {
        Ran::of(self.command(args), args)
    }
}

impl Ran {
    /// Runs to the end; a panic or a kill is never an acceptable outcome.
    pub fn of(command: snapbox::cmd::Command, args: &[&str]) -> Self {
        let output = command.output().expect("the program starts");
        let text = |bytes| String::from_utf8(bytes).expect("the program writes UTF-8");
        let (stdout, stderr) = (text(output.stdout), text(output.stderr));
        let code = output.status.code();
        let code = code.unwrap_or_else(|| panic!("{args:?} was ended by force:\n{stderr}"));
        assert!(code <= 3, "{args:?} ended with {code}:\n{stderr}");
        Self { code, stdout, stderr }
    }

    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.stdout)
            .unwrap_or_else(|e| panic!("not JSON ({e}):\n{}\n{}", self.stdout, self.stderr))
    }
}

impl Drop for Env {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.dir);
    }
}
