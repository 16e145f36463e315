package spec

import "fmt"

const (
	// MaxPhoto is the greatest size of a photograph's file, in bytes.
	MaxPhoto = 12 << 20
	// MaxPhotos is how many photographs one notebook takes.
	MaxPhotos = 60
)

// Photo is a photograph beside the spec.
type Photo struct {
	File    Attachment `key:"file" required:"" doc:"JPEG or PNG picture in the spec's own folder or below it"`
	Alt     Text       `key:"alt" doc:"what is to be seen, in words, for those who cannot see it; must be written"`
	Caption Text       `key:"caption" doc:"words below the picture; those of alt unless written"`
	Section Choice     `key:"section" oneof:"title safety tubes bias input filament plate_feed suppressor tank switching supply metering cooling exposure clearance tune_up bring_up survey" doc:"section at whose end it stands; title, after the story, unless written"`
}

// Place is the section in which the photograph stands.
func (p Photo) Place() string {
	if p.Section.Value == "" {
		return "title"
	}
	return p.Section.Value
}

// photos checks what needs more than one key of [photo.NAME].
func (r *reader) photos() {
	for i, name := range sortedKeys(r.spec.Photo) {
		p := r.spec.Photo[name]
		key := "photo." + name
		o := Origin{Key: key, Position: r.at[key]}
		if !partName.MatchString(name) || len(name) > 60 {
			r.problem(o, quote(name)+" is not a name for a photograph",
				"small letters, digits and _, beginning with a letter, such as [photo.front_panel]")
		}
		if i == MaxPhotos {
			r.problem(o, fmt.Sprintf("%d photographs; the limit is %d", len(r.spec.Photo), MaxPhotos), "keep those that tell something")
		}
		if p.Alt.Key != "" && !p.Alt.Given {
			r.problem(p.Alt.Origin, "missing: what is to be seen, for those who cannot see it",
				fmt.Sprintf(`under [%s] write for example alt = "chassis from below, filament choke at the left"`, key))
		}
		if p.Section.Value == "survey" && len(r.spec.Survey) == 0 {
			r.problem(p.Section.Origin, "the report has no survey without a table [survey.NAME]",
				`section = "title", or write the survey`)
		}
	}
}
