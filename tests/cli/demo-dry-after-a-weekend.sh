demo dry-after-a-weekend
