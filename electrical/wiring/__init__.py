"""Wire up: propose a circuit, cable and protection for everything not yet wired."""
