//! The program from outside: arguments, exit statuses, streams, files.

mod check;
mod manners;
mod outputs;
mod sounds;
