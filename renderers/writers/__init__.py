"""Writers: each lays a pack out in one form. A writer returns files as bytes by name; it touches no disk of its own."""
