"""Records to tables, figures and paper pages: the only place that plots or rounds for show."""
