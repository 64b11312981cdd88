demo soft-crown-in-a-full-tray
