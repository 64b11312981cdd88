demo fed-with-ham
