package report

import (
	"fmt"

	"anodebook/compute"
	"anodebook/report/figure"
)

// trace is one signal of the timing diagram: on from one instant to another,
// with the time in which it is neither.
type trace struct {
	name        string
	rises, up   float64 // begins to rise, is up [s]
	falls, down float64 // begins to fall, is down [s]
}

// sequenceFigure is the timing diagram of one transmission: key line, relays,
// bias and drive, with the key held a little longer than the way to transmit
// takes.
func sequenceFigure(d *compute.Design) (figure.Chart, error) {
	r := &d.Switching
	t := r.Times
	op, guard, rel := t.Operate, t.Guard, t.Release
	open := roundUp(r.TransmitDelay+3*(op+guard), 0.01) // the key line opens here
	end := open + r.ReceiveDelay
	lead := 0.12 * end // before the key line closes
	traces := []trace{
		{name: "key line closed", rises: 0, up: 0, falls: open, down: open},
		{name: "K1, antenna", rises: 0, up: op, falls: open + guard + rel + t.Decay, down: end},
		{name: "K2, input", rises: op, up: 2 * op, falls: open + guard, down: open + guard + rel},
		{name: "bias at work", rises: op, up: 2 * op, falls: open + guard, down: open + guard + rel},
		{name: "drive", rises: r.Drive, up: r.Drive, falls: open, down: open + guard},
	}
	margin := say(r.HotSwitchMargin, "s") + " after"
	if r.HotSwitchMargin < 0 {
		margin = say(-r.HotSwitchMargin, "s") + " before"
	}
	c := figure.Chart{
		Title: "One transmission: key line, relays, bias and drive",
		Description: fmt.Sprintf("K1 has settled %s after the key line closes, K2 and the bias another %s later; the first drive "+
			"comes at %s, %s both relays have settled. When the key line opens the drive dies within %s, K2 and the bias fall back, "+
			"and "+
			"K1 begins to move %s after the end of drive; reception is back after %s.",
			say(op, "s"), say(op, "s"), say(r.Drive, "s"), margin, say(guard, "s"), say(r.ReleaseMargin, "s"),
			say(r.ReceiveDelay, "s")),
		X:      figure.Axis{Label: "Time after the key line closes", Unit: "s", Min: -lead, Max: end + lead},
		Y:      figure.Axis{Label: "Each line: off below, on above", Min: -0.2, Max: float64(len(traces)) + 0.7},
		Height: 300,
		Bands:  []figure.Band{{Name: "margin before K1", From: open + guard, To: open + r.ReleaseMargin}},
	}
	switch settled := 2 * op; {
	case r.Drive > settled:
		c.Bands = append(c.Bands, figure.Band{Name: "margin before drive", From: settled, To: r.Drive})
	case r.Drive < settled:
		c.Bands = append(c.Bands, figure.Band{Name: "hot: drive on moving contacts", From: r.Drive, To: settled})
	}
	for i, x := range traces {
		base := float64(len(traces) - 1 - i)
		c.Y.Ticks = append(c.Y.Ticks, figure.Tick{At: base + 0.3, Text: x.name})
		c.Lines = append(c.Lines, figure.Line{
			X:     []float64{-lead, x.rises, x.up, x.falls, x.down, end + lead},
			Y:     []float64{base, base, base + 0.6, base + 0.6, base, base},
			Solid: true,
		})
	}
	return c, nil
}

// roundUp is the next multiple of a step.
func roundUp(v, step float64) float64 {
	n := float64(int(v / step))
	if n*step < v-1e-12 {
		n++
	}
	return n * step
}
