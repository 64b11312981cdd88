demo came-in-a-parcel
