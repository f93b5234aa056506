"""Pages on what roads need and what is on offer: sites, ranges, receipts."""
