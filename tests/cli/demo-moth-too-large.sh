demo moth-too-large
