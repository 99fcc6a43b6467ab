"""What is asked: a material, a process, the machine that carries the head, and picks."""
