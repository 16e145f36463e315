package source

import "anodebook/compute/ledger"

// Sources of cooling and exposure.
var (
	Atmosphere = ledger.Source{Key: "iso-2533", Title: "ISO 2533 standard atmosphere (same figures as the US Standard Atmosphere 1976)",
		Known: ledger.Published}
	AirHeat = ledger.Source{Key: "air-heat",
		Title: "Heat carried by moving air, P = ρ·c·Q·ΔT with c = 1006 J/(kg·K); agrees with the trade's CFM formula",
		Known: ledger.Derived}
	Airflow = ledger.Source{Key: "makers-airflow", Title: "Maker's data sheet of the tube type, required airflow and back pressure",
		Known: ledger.FromMemory}
	OET65 = ledger.Source{Key: "oet-65",
		Title: "OET Bulletin 65 (97-01) and Supplement B: far-field power density with ground reflection", Known: ledger.Published}
	DutyFactor = ledger.Source{Key: "supplement-b", Title: "OET Bulletin 65 Supplement B: duty factors of emissions",
		Known: ledger.Published}
)
