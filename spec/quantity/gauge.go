package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

var gauge = regexp.MustCompile(`(?i)^(?:AWG\s*#?\s*(\d+|[1-4]/0)|#?\s*(\d+|[1-4]/0)\s*AWG)$`)

// wireGauge reads a wire's diameter written as its American gauge: "12 AWG",
// "AWG 12", "2/0 AWG", "0000 AWG". The number is not a measure that a factor
// could turn into metres: 0.005 in·92^((36−n)/39), ASTM B258. ok says that
// text is written in this way.
func wireGauge(text string) (v Value, ok bool, err error) {
	m := gauge.FindStringSubmatch(text)
	if m == nil {
		return Value{}, false, nil
	}
	name := m[1] + m[2]
	n, err := strconv.Atoi(name)
	switch {
	case strings.HasSuffix(name, "/0"):
		n, err = 1-int(name[0]-'0'), nil
	case strings.Trim(name, "0") == "": // 0, 00, 000, 0000
		n = 1 - len(name)
	}
	if err != nil || n < -3 || n > 50 {
		return Value{}, true, fmt.Errorf("%s: wire gauges go from 4/0 to 50", quoted(text))
	}
	return Value{SI: 0.005 * 0.0254 * math.Pow(92, float64(36-n)/39), Dimension: Length, Unit: "m"}, true, nil
}
