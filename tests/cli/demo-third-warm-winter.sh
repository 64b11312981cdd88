demo third-warm-winter
