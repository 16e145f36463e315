package source

import "anodebook/compute/ledger"

// Clearance and creepage.
var (
	SecondaryClearance = ledger.Source{Key: "clearance-iec-60950", Title: "Clearances of secondary circuits by working voltage, Compliance Engineering, March 2001, Table III, after IEC 60950", Known: ledger.Published}
	ImpulseClearance   = ledger.Source{Key: "iec-60664-1-f2", Title: "IEC 60664-1:2007 Tables F.1 and F.2, rated impulse voltage and clearance", Known: ledger.FromMemory}
	CreepageTable      = ledger.Source{Key: "iec-60664-1-f4", Title: "IEC 60664-1:2007 Table F.4, creepage distances", Known: ledger.FromMemory}
	AltitudeTable      = ledger.Source{Key: "iec-60664-1-a2", Title: "IEC 60664-1:2007 Table A.2, altitude factors of clearances", Known: ledger.Published}
	RadioClearance     = ledger.Source{Key: "iec-60664-4", Title: "IEC 60664-4, high-frequency voltage stress: above some megahertz air gives way up to a fifth earlier, so the peak voltage counts 1.25 times", Known: ledger.FromMemory}
	PowerSpacing       = ledger.Source{Key: "ipc-9592", Title: "IPC-9592, spacing in power converters as quoted: 0.6 mm and 5 µm for each volt", Known: ledger.Published}
)
