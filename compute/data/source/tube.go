package source

import "anodebook/compute/ledger"

// Sources of the tube stage.
var (
	Terman = ledger.Source{Key: "terman-1943",
		Title: "Terman, Radio Engineer's Handbook (1943): Fourier analysis of plate-current pulses in tuned power amplifiers",
		Known: ledger.FromMemory}
	Chaffee = ledger.Source{Key: "chaffee-1936",
		Title: "Chaffee, A simplified harmonic analysis, Rev. Sci. Instrum. 7 (1936) 384: the 13-point method",
		Known: ledger.FromMemory}
	FedThrough = ledger.Source{Key: "qst-1958-12",
		Title: "Input impedance and fed-through power in grounded-grid amplifiers, QST December 1958, p. 32", Known: ledger.Published}
	TwoTone = ledger.Source{Key: "pappenfus-1964",
		Title: "Pappenfus, Bruene, Schoenike, Single Sideband Principles and Circuits (1964): two-tone test and quasi-static distortion", Known: ledger.FromMemory}
	OwnFit = ledger.Source{Key: "builders-columns",
		Title: "Figures of the builder's own tube, from the spec; law after Spangenberg (1948), fit after D. W. Marquardt, J. SIAM 11 " +
			"(1963) 431", Known: ledger.FromMemory}
	ScreenShare = ledger.Source{Key: "screen-share",
		Title: "Screen and control grid of a grounded tetrode share the grid current about 35 to 65 in the published columns, second " +
			"hand; practice also quotes 25 to 75", Known: ledger.CommonPractice}
	TubeFit = ledger.Source{Key: "catalogue-fit",
		Title: "Static model fitted to all published operating columns of the type (residuals: anodebook tubes TYPE)",
		Known: ledger.Derived}
)

// LoadRule is the handbook rule for the plate load.
var LoadRule = ledger.Source{Key: "load-rule",
	Title: "Plate load rule R = V/(k·I), ARRL Handbook as quoted (k 1.5 in class AB, 1.57 in class B, 2 in class C)",
	Known: ledger.Published}
