"""The machine: identity, owner, hands, configuration in versions, history answers, work done before it came, papers."""
