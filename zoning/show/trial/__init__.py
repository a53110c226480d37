"""What a person sees of a trial after harvest, made from a `TrialResult` and nothing else.

- `report` and `book` are printed; `page` is trial.html, `picture` trial.png, `pdf` trial.pdf.
- `written` and `about` say it in sentences, `rows` in tables, `trial_units` writes figures, `axis` is the one
  scale of all responses.
- The map: `cells` puts points into pictures of few colours, `ground` brings shapes to local metres, `map_svg`
  draws for page and paper, `picture_map` for the picture.
- Marks in tables and densities: `charts` for the page, `belief_svg` and `trial.typ` for paper,
  `picture_forest` for the picture.
"""
