"""What heads can be built from: parts, wetted materials, substances and shop practice."""
