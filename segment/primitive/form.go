package primitive

func (c *round) form(a association, p *Patch) Form { return Form{-1, -1, -1} }

func (c *torus) form(a association, p *Patch) Form { return Form{-1, -1, -1} }
