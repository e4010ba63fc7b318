//! Every outside format, one file each
