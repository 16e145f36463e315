package source

import "anodebook/compute/ledger"

// Clearance and creepage. The figures of IEC 60664-1 are the same in 2007 and
// 2020; the numbers of its tables are not.
var (
	SecondaryClearance = ledger.Source{Key: "clearance-iec-60950", Title: "Clearances of secondary circuits by working voltage, " +
		"Compliance Engineering, March 2001, Table III, after IEC 60950, whose place IEC 62368-1 has taken", Known: ledger.Published}
	ImpulseClearance = ledger.Source{Key: "iec-60664-1-f2", Title: "IEC 60664-1 (2007 and 2020) Tables F.1 and F.2, rated impulse " +
		"voltage and clearance for impulses", Known: ledger.Transcribed(2)}
	RecurringClearance = ledger.Source{Key: "iec-60664-1-f8", Title: "IEC 60664-1:2020 Table F.8 (F.7 of 2007, that number from " +
		"memory), clearance for steady, temporary or recurring peak voltages, point against plane", Known: ledger.Transcribed(2)}
	Reinforced = ledger.Source{Key: "iec-60664-1-reinforced", Title: "IEC 60664-1, reinforced insulation: impulses at the next " +
		"step of their series, recurring peaks at 1.6 times the voltage, creepage doubled", Known: ledger.Transcribed(1)}
	CreepageTable = ledger.Source{Key: "iec-60664-1-f4", Title: "IEC 60664-1:2020 Table F.5 (F.4 of 2007), creepage distances",
		Known: ledger.Transcribed(2)}
	AltitudeTable = ledger.Source{Key: "iec-60664-1-a2", Title: "IEC 60664-1 (2007 and 2020) Table A.2, altitude factors of " +
		"clearances", Known: ledger.Published}
	RadioClearance = ledger.Source{Key: "iec-60664-4",
		Title: "IEC 60664-4, high-frequency voltage stress: above some megahertz air gives way up to a fifth earlier, so the peak " +
			"voltage counts 1.25 times", Known: ledger.FromMemory}
	RadioTable = ledger.Source{Key: "iec-60664-4-tables", Title: "IEC 60664-4 Tables 1 and 2, clearance and creepage above 30 " +
		"kHz, inhomogeneous field", Known: ledger.Transcribed(1)}
	PowerSpacing = ledger.Source{Key: "ipc-9592",
		Title: "IPC-9592, spacing in power converters as quoted: 0.6 mm and 5 µm for each volt", Known: ledger.Published}
)
