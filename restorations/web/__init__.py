"""What every page shares: base page, fragments, middleware, template tags, units at the edge. No rows of any app."""
