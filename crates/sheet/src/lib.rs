//! Paper and pictures as bytes
