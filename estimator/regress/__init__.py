"""Hours of any plain table: several forms of regression, averaged by how they foretell rows left out."""
