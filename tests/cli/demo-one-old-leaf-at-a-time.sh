demo one-old-leaf-at-a-time
