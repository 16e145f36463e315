package spec

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every word of supply.rectifier stands in one of the two lists, and in no
// more than one.
func TestEveryRectifierWordHasOneInput(t *testing.T) {
	f, _ := reflect.TypeFor[Supply]().FieldByName("Rectifier")
	assert.ElementsMatch(t, strings.Fields(f.Tag.Get("oneof")), append(append([]string{}, capacitorInputs...), chokeInputs...))
}
