"""The command `headwright`: its commands, with heavy imports only inside of them."""
