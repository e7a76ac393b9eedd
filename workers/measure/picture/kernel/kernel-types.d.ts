// Types of the kernel's language, for the files that both compilers read.
declare type i32 = number;
declare type f32 = number;
/** An address: bytes from the start of the kernel's memory. */
declare type usize = number;
