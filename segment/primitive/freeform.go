package primitive

func freeform(p *Patch) Element { return Element{Kind: "freeform"} }
