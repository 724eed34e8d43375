//! Every sentence for people: the only place where results become language. Each file holds one
//! family; nothing here measures or decides.

pub mod archive;
pub mod aspect;
pub mod causes;
pub mod cautions;
pub mod compare;
pub mod events;
pub mod evidence;
pub mod figures;
pub mod listening;
pub mod live;
pub mod next_step;
pub mod page;
pub mod picture;
pub mod verdict;
