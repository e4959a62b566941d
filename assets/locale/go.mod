module assets.pilewright/locale

go 1.26
