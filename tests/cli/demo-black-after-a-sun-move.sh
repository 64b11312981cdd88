demo black-after-a-sun-move
