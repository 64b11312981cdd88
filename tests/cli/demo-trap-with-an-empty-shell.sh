demo trap-with-an-empty-shell
