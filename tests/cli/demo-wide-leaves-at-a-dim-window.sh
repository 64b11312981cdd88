demo wide-leaves-at-a-dim-window
