demo crinkled-new-leaves
