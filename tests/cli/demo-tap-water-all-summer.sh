demo tap-water-all-summer
