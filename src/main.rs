//! The `tailbeat` program: everything it does is a library call.

fn main() -> std::process::ExitCode {
    tailbeat::cli::run()
}
