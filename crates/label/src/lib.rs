//! What a product's label says
